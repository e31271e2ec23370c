-- When each drive first and last reported at each site; what came before is merged in.
select site, serial, model_key, min(first_day) as first_day, max(last_day) as last_day
from (
  select site, serial, model_key, first_day, last_day from presence_before
  union all
  select site, serial, model_key,
    month + cast(log2(days & -days) as int) as first_day,
    month + cast(floor(log2(days)) as int) as last_day
  from (select site, serial, model_key, month, cast(days as bigint) as days from stays join spellings using (model_read))
)
group by site, serial, model_key
