-- Drives that were seen after the failure that ended them: from which day, on how many, and how late the last time.
select e.serial, e.model_key,
  coalesce(
    (select min(s.first_day) from spells s where s.drive = d.drive and s.spell > e.life),
    d.first_after
  ) as first_day,
  d.days_seen - e.days_seen as rows,
  cast(d.last_seen - e.last_day as int) as days_after
from drives d join drive_ends e on e.drive = d.drive
where e.outcome = 'failed' and d.last_seen > e.last_day
