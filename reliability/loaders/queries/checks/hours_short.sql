-- The first power-on hours are fewer than the days the drive had been seen by then, by more than 3 days.
select 'hours_short' as code, l.serial, l.model_key, d.first_hours_day as first_day, cast(0 as bigint) as life, cast(1 as bigint) as rows,
  'short by ' || cast(-l.clock_days as string) || ' days' as detail
from drives d join lives l on l.drive = d.drive and l.life = 1
where l.clock_days < -3
