-- The last life of each drive: its end, and what of the drive's days its lives hold.
select drive, min(serial) as serial, min(model_key) as model_key, max(life) as life, max(last_day) as last_day, max_by(outcome, life) as outcome,
  max_by(site, life) filter (where site is not null) as site,
  cast(sum(days_seen) as bigint) as days_seen
from lives
group by drive
