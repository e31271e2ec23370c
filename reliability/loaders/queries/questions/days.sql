-- The first and the last day on which the fleet reported.
select min(month + cast(log2(cast(days as bigint) & -cast(days as bigint)) as int)), max(month + cast(floor(log2(days)) as int))
from days_collected
