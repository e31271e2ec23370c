-- The days on which any drive reported.
select distinct month + (d.day - 1) as day
from days_collected join month_days d on (cast(days as bigint) >> cast(d.day - 1 as int)) & 1 = 1
