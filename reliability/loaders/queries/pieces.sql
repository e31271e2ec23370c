-- The part of a month that a drive spent at one site without another in between. Nearly every month is one piece;
-- only a drive with two sites in one month is looked at day by day.
with mixed_days as (
  select m.drive, m.month, d.day, min(s.site) as site
  from counted_months m
  join named_stays s on s.drive = m.drive and s.month = m.month
  join month_days d on ((s.days & m.days_counted) >> cast(d.day - 1 as int)) & 1 = 1
  where m.sites > 1
  group by m.drive, m.month, d.day
),
turns as (
  select *, case when coalesce(site, '') = coalesce(lag(site) over by_day, '') then 0 else 1 end as turn
  from mixed_days window by_day as (partition by drive, month order by day)
),
runs as (
  select *, sum(turn) over (partition by drive, month order by day rows between unbounded preceding and current row) as run
  from turns
),
mixed_pieces as (
  select drive, month, site, bit_or(cast(1 as bigint) << cast(day - 1 as int)) as days
  from runs group by drive, month, site, run
),
all_pieces as (
  select drive, month, site, days_counted as days, rack, rack_day, batch, batch_day
  from counted_months where sites = 1 and days_counted <> 0
  union all
  select p.drive, p.month, p.site, p.days, m.rack, m.rack_day, m.batch, m.batch_day
  from mixed_pieces p join counted_months m on m.drive = p.drive and m.month = p.month
)
select
  drive, month, site, days,
  month + cast(log2(days & -days) as int) as first_day,
  month + cast(floor(log2(days)) as int) as last_day,
  rack, rack_day, batch, batch_day
from all_pieces
