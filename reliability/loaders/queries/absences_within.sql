-- Absences within a piece that its site's outages do not explain. Months without a hole, nearly all, are left at the first look.
with holes as (
  select
    p.drive, p.month, p.site, p.first_day, p.days,
    ((cast(1 as bigint) << cast(day(p.last_day) as int)) - (cast(1 as bigint) << cast(day(p.first_day) - 1 as int)))
      & ~p.days & ~coalesce(o.bits, cast(0 as bigint)) as missing
  from pieces p left join outage_bits o on o.site = coalesce(p.site, '') and o.month = p.month
  where bit_count(p.days) < cast(p.last_day - p.first_day as int) + 1
),
seen as (
  select h.*, d.day, lag(d.day) over (partition by h.drive, h.first_day order by d.day) as before
  from holes h join month_days d on (h.days >> cast(d.day - 1 as int)) & 1 = 1
  where h.missing <> 0
)
select drive, first_day as piece_day, month + before as first_day, month + (day - 2) as last_day,
  cast(bit_count(missing & ((cast(1 as bigint) << cast(day - 1 as int)) - (cast(1 as bigint) << cast(before as int)))) as int) as collected_days
from seen
where day - before > 1
