-- The outage days of each site and month as bits.
select site, cast(date_trunc('month', day) as date) as month,
  bit_or(cast(1 as bigint) << cast(day(day) - 1 as int)) as bits
from calendar
where outage
group by site, cast(date_trunc('month', day) as date)
