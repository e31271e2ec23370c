-- Blank or impossible power-on hours before the first valid ones.
select 'hours_invalid' as code, e.serial, e.model_key, d.first_day, cast(0 as bigint) as life, d.unclocked_days as rows, cast(null as string) as detail
from drives d join drive_ends e on e.drive = d.drive and d.first_hours_day <= e.last_day
where d.unclocked_days > 0
