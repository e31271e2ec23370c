-- When each drive first and last reported at each site; what came before is merged in.
select site, drive, min(first_day) as first_day, max(last_day) as last_day
from (
  select site, drive, first_day, last_day from presence_before
  union all
  select site, drive,
    month + cast(log2(days & -days) as int) as first_day,
    month + cast(floor(log2(days)) as int) as last_day
  from named_stays
)
group by site, drive
