-- A drive stopped appearing more than 30 collected days before the data's end, without a flag or an entry in the log.
select 'vanished' as code, serial, model_key, last_day as first_day, cast(null as bigint) as life, cast(1 as bigint) as rows, cast(null as string) as detail
from lives where outcome = 'vanished'
