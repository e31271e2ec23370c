-- Every drive, a serial number under a model, with the number that it has from then on: rows are put together by numbers far sooner than by names.
with named as (
  select distinct serial, model_key from stays join spellings using (model_read)
),
new as (
  select n.serial, n.model_key from named n
  where not exists (select 1 from known_drives_before b where b.serial = n.serial and b.model_key = n.model_key)
)
select drive, serial, model_key from known_drives_before
union all
select
  (select coalesce(max(drive), cast(0 as bigint)) from known_drives_before) + cast(row_number() over (order by serial, model_key) as bigint) as drive,
  serial, model_key
from new
