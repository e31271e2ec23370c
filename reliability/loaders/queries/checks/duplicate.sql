-- A drive reports twice on one day: two rows of one file, or two spellings of its model.
select r.code, r.serial, s.model_key, r.first_day, cast(null as bigint) as life, r.rows, r.detail
from repeats r join spellings s using (model_read) where r.code = 'duplicate'
union all
select d.code, k.serial, k.model_key, d.day as first_day, cast(null as bigint) as life, cast(1 as bigint) as rows, d.detail
from double_days d join known_drives k on k.drive = d.drive where d.code = 'duplicate'
