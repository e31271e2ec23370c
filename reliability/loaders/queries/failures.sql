-- The first failure flag of each drive, of all months so far.
select serial, model_key, min(failed_day) as failed_day
from (
  select serial, model_key, failed_day from drives_before where failed_day is not null
  union all
  select serial, model_key, failed_day from drive_months where failed_day is not null
)
group by serial, model_key
