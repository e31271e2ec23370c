-- A drive reports on one day in two files.
select r.code, r.serial, s.model_key, r.first_day, cast(null as bigint) as life, r.rows, r.detail
from repeats r join spellings s using (model_read) where r.code = 'duplicate_across_files'
