-- How many lives of known age, of those begun by a day, had begun at each age, and had ended at it in each way by that day. What ended
-- later was still in service, at the age it had at the end of the day.
with clipped as (
  select entry_age_days as entry_age, case when last_day <= $last_day then outcome else 'in service' end as outcome,
    entry_age_days + cast(least(last_day, $last_day) - first_day as int) + 1 as exit_age
  from lives where entry_age_days is not null and first_day <= $last_day and ($model is null or model = $model)
)
select age, sum(entered) as entered, sum(failed) as failed, sum(retired) as retired, sum(vanished) as vanished, sum(gone) as gone
from (
  select entry_age as age, 1 as entered, 0 as failed, 0 as retired, 0 as vanished, 0 as gone from clipped
  union all
  select exit_age, 0, (outcome = 'failed')::int, (outcome = 'retired')::int, (outcome = 'vanished')::int,
    (outcome not in ('failed', 'retired', 'vanished'))::int
  from clipped
)
group by age order by age
