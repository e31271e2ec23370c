-- The log names a serial that no snapshot has, or one of two models without saying which.
select code, serial, model_key, date as first_day, cast(1 as bigint) as rows, outcome as detail
from removal_use where code = 'log_unknown'
