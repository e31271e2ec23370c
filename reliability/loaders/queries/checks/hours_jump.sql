-- The power-on counter runs ahead of the calendar by more than 72 h.
select h.code, e.serial, e.model_key, h.day_to as first_day, cast(null as bigint) as life, cast(1 as bigint) as rows,
  'from ' || cast(h.hours_from as string) || ' h to ' || cast(h.hours_to as string) || ' h in ' || cast(cast(h.day_to - h.day_from as int) as string) || ' days' as detail
from hour_steps h join drive_ends e on e.drive = h.drive and h.day_to <= e.last_day
where h.code = 'hours_jump'
