-- Blank or impossible power-on hours before the first valid ones.
select 'hours_invalid' as code, serial, model_key, first_day, cast(0 as bigint) as life, unclocked_days as rows, cast(null as varchar) as detail
from drives where first_hours is not null and unclocked_days > 0
