-- The first failure flag of each drive, of all months so far.
select drive, min(failed_day) as failed_day
from (
  select drive, failed_day from drives_before where failed_day is not null
  union all
  select drive, failed_day from named_stays where failed_day is not null
)
group by drive
