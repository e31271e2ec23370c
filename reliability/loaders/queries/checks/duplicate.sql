-- A drive reports twice on one day: two rows of one file, or two spellings of its model.
select r.code, r.serial, s.model_key, r.first_day, cast(null as bigint) as life, r.rows, r.detail
from repeats r join spellings s using (model_read) where r.code = 'duplicate'
union all
select code, serial, model_key, day as first_day, cast(null as bigint) as life, cast(1 as bigint) as rows, detail from double_days where code = 'duplicate'
