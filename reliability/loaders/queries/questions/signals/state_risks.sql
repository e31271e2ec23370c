-- How many spans of known age began at each age, and ended at it with a failure or without one, by signal, model and state.
select signal, model, state, age, sum(entered) as entered, sum(failed) as failed, sum(gone) as gone
from (
  select signal, model, state, age_days as age, 1 as entered, 0 as failed, 0 as gone from state_spans where age_days is not null
  union all
  select signal, model, state, age_days + drive_days, 0, fails::int, (not fails)::int from state_spans where age_days is not null
)
where state in ('unexposed', 'exposed')
group by all
order by all
