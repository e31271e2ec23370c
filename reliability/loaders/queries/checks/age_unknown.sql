-- No valid power-on hours at all: the drive counts in rates, not in anything that needs its age.
select 'age_unknown' as code, e.serial, e.model_key, d.first_day, cast(0 as bigint) as life, e.days_seen as rows, cast(null as string) as detail
from drives d join drive_ends e on e.drive = d.drive
where d.first_hours is null or d.first_hours_day > e.last_day
