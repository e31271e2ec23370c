-- One serial appears under two models: two drives, or one with a wrong name.
select 'model_changed' as code, d.serial, d.model_key, d.first_day, cast(0 as bigint) as life, e.days_seen as rows, cast(null as string) as detail
from (select *, count(*) over (partition by serial) as models from drives) d
join drive_ends e on e.serial = d.serial and e.model_key = d.model_key
where d.models > 1
