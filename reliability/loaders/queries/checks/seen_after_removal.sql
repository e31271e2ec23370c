-- The drive goes on reporting after the log says it was pulled; the entry is not used.
select code, serial, model_key, date as first_day, spell as life, cast(1 as bigint) as rows, outcome as detail
from removal_use where code = 'seen_after_removal'
