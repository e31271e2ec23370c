-- Pieces and the stint that was open before them, in order, each with the absence that led to it.
with rows_in_order as (
  select serial, model_key, site, first_day, last_day, days_seen, absences, longest_gap_days,
    rack, rack_day, batch, batch_day, spell, stint
  from stints_before where is_open
  union all
  select p.serial, p.model_key, p.site, p.first_day, p.last_day,
    cast(bit_count(p.days) as bigint) as days_seen,
    cast(bit_count(p.days & ~(p.days << 1)) - 1 as bigint) as absences,
    coalesce(w.longest, 0) as longest_gap_days,
    case when g.rack_day <= p.last_day then g.rack end as rack,
    case when g.rack_day <= p.last_day then g.rack_day end as rack_day,
    case when g.batch_day <= p.last_day then g.batch end as batch,
    case when g.batch_day <= p.last_day then g.batch_day end as batch_day,
    cast(null as bigint) as spell, cast(null as bigint) as stint
  from pieces p
  left join (
    select serial, model_key, piece_day, max(collected_days) as longest from absences_within group by serial, model_key, piece_day
  ) w on w.serial = p.serial and w.model_key = p.model_key and w.piece_day = p.first_day
  left join month_groups g on g.serial = p.serial and g.model_key = p.model_key and g.month = p.month
),
steps as (
  select *,
    lag(last_day) over by_day as before_day,
    coalesce(lag(site) over by_day, '') as before_site
  from rows_in_order
  window by_day as (partition by serial, model_key order by first_day)
)
select s.*,
  coalesce(there.days_collected - here.days_collected, 0) as collected_days
from steps s
left join calendar here on here.site = s.before_site and here.day = s.before_day and cast(s.first_day - s.before_day as int) > 1
left join calendar there on there.site = s.before_site and there.day = s.first_day - 1 and cast(s.first_day - s.before_day as int) > 1
