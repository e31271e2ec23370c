-- The days of each month on which a site reported at all; those of older months are carried on.
select site, month, cast(bit_or(cast(days as bigint)) as int) as days
from (
  select site, month, days from stays
  union all
  select site, month, days from days_collected_before
)
group by site, month
