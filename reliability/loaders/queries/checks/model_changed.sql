-- One serial appears under two models: two drives, or one with a wrong name.
select 'model_changed' as code, serial, model_key, first_day, days_seen as rows, cast(null as varchar) as detail
from (select *, count(*) over (partition by serial) as models from drives)
where models > 1
