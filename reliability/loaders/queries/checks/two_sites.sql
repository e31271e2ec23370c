-- A drive reports from two sites on one day.
select code, serial, model_key, day as first_day, cast(null as bigint) as life, cast(1 as bigint) as rows, detail from double_days where code = 'two_sites'
