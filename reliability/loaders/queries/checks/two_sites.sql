-- A drive reports from two sites on one day.
select d.code, k.serial, k.model_key, d.day as first_day, cast(null as bigint) as life, cast(1 as bigint) as rows, d.detail
from double_days d join known_drives k on k.drive = d.drive where d.code = 'two_sites'
