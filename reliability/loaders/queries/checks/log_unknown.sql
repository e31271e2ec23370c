-- The log names a serial that no snapshot has, or one of two models without saying which.
select code, serial, model_key, date as first_day, cast(null as bigint) as life, cast(1 as bigint) as rows, outcome || case when model is null then '' else ', model ' || model end as detail
from removal_use where code = 'log_unknown'
