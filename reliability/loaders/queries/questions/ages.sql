-- Lives of the models asked for, of those begun by a day and of known age: the ages between which they were at risk, and how they had
-- ended by that day (1 failed, 2 retired, 3 vanished, 0 otherwise). What ended later was still in service, at the age it had at the
-- end of the day.
select place, entry_age_days as entry, entry_age_days + cast(least(last_day, $last_day) - first_day as int) + 1 as exit,
  case when last_day > $last_day then 0 else coalesce(list_position(['failed', 'retired', 'vanished'], outcome), 0) end as ending
from lives join asked_models using (model)
where entry_age_days is not null and first_day <= $last_day
