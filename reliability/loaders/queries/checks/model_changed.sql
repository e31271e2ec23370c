-- One serial appears under two models: two drives, or one with a wrong name.
select 'model_changed' as code, e.serial, e.model_key, d.first_day, cast(0 as bigint) as life, e.days_seen as rows, cast(null as string) as detail
from drives d join drive_ends e on e.drive = d.drive
where e.serial in (select serial from drive_ends group by serial having count(*) > 1)
