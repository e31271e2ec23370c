-- How the last life of each drive, of those begun by a day, stood at that day.
with standing as (
  select *, max(life) over (partition by serial, model) as final_life from lives where first_day <= $last_day
)
select model, count(*) as drives,
  count(case when outcome = 'failed' and last_day <= $last_day then 1 end) as failed,
  count(case when outcome = 'retired' and last_day <= $last_day then 1 end) as retired,
  count(case when outcome = 'vanished' and last_day <= $last_day then 1 end) as vanished,
  count(case when outcome not in ('failed', 'retired', 'vanished') or last_day > $last_day then 1 end) as in_service
from standing where life = final_life
group by model order by model
