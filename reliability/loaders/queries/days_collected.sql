-- The days of each month on which a site reported at all.
select site, month, cast(bit_or(cast(days as bigint)) as int) as days
from stays
group by site, month
