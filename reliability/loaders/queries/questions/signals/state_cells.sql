-- Drive-days and failures by signal, model, state and age band; spans of unknown age stand in a cell without a band.
select s.signal, s.model, s.state, b.from_days as age_from_days, b.to_days as age_to_days,
  cast(sum(case when b.from_days is null then s.drive_days
    else least(s.age_days + s.drive_days, coalesce(b.to_days, s.age_days + s.drive_days)) - greatest(s.age_days, b.from_days) end) as bigint) as drive_days,
  count(case when s.fails and (b.to_days is null or s.age_days + s.drive_days <= b.to_days) then 1 end) as failures
from state_spans s left join bands b on s.age_days + s.drive_days > b.from_days and (b.to_days is null or s.age_days < b.to_days)
group by all
order by all nulls last
