-- Lives of the models asked for and of known age: the ages between which they were at risk, and how they ended (1 failed, 2 retired,
-- 3 vanished, 0 otherwise).
select place, entry_age_days as entry, exit_age_days as exit, coalesce(ending, 0) as ending
from lives
join asked_models using (model)
left join (values ('failed', 1), ('retired', 2), ('vanished', 3)) endings(outcome, ending) using (outcome)
where entry_age_days is not null
