-- The log tells of an end more than 30 days after the drive was last seen; it is used.
select code, serial, model_key, date as first_day, spell as life, cast(1 as bigint) as rows, outcome as detail
from removal_use where code = 'late_log'
