-- A failure is first flagged after an absence of more than 7 collected days: it may have happened earlier.
select 'late_flag' as code, e.serial, e.model_key, d.failed_day as first_day, cast(null as bigint) as life, cast(1 as bigint) as rows,
  'after ' || cast(a.collected_days as string) || ' collected days of absence' as detail
from drives d join absences a on a.drive = d.drive and a.last_day + 1 = d.failed_day
join drive_ends e on e.drive = d.drive and e.last_day = d.failed_day
