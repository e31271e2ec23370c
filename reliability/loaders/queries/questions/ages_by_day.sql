-- The same of lives begun by a day, as they stood at its end: what ended later was still in service, at the age it had then.
select place, entry_age_days as entry, entry_age_days + cast(least(last_day, $last_day) - first_day as int) + 1 as exit,
  case when last_day > $last_day then 0 else coalesce(ending, 0) end as ending
from lives
join asked_models using (model)
left join (values ('failed', 1), ('retired', 2), ('vanished', 3)) endings(outcome, ending) using (outcome)
where entry_age_days is not null and first_day <= $last_day
