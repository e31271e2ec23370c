-- How many lives of known age began at each age, and ended at it in each way.
select age, sum(entered) as entered, sum(failed) as failed, sum(retired) as retired, sum(vanished) as vanished, sum(gone) as gone
from (
  select entry_age_days as age, 1 as entered, 0 as failed, 0 as retired, 0 as vanished, 0 as gone
  from lives where entry_age_days is not null and ($model is null or model = $model)
  union all
  select exit_age_days, 0, (outcome = 'failed')::int, (outcome = 'retired')::int, (outcome = 'vanished')::int,
    (outcome not in ('failed', 'retired', 'vanished'))::int
  from lives where entry_age_days is not null and ($model is null or model = $model)
)
group by age order by age
