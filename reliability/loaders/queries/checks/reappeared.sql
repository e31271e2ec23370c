-- A drive reports 14 or more days after it failed: a false flag, a repair, or reuse.
select 'reappeared' as code, d.serial, d.model_key,
  coalesce(
    (select min(s.first_day) from spells s where s.serial = d.serial and s.model_key = d.model_key and s.spell > e.life),
    d.first_after
  ) as first_day, cast(null as bigint) as life,
  d.days_seen - e.days_seen as rows,
  'last seen ' || cast(cast(d.last_seen - e.last_day as int) as string) || ' days after the failure' as detail
from drives d join drive_ends e on e.serial = d.serial and e.model_key = d.model_key
where e.outcome = 'failed' and d.last_seen > e.last_day and cast(d.last_seen - e.last_day as int) >= (select reappear_days from settings)
