-- The part of a month that a drive spent at one site without another in between. Nearly every month is one piece;
-- only a drive with two sites in one month is looked at day by day.
with mixed_days as (
  select m.serial, m.model_key, m.month, d.day, min(s.site) as site
  from counted_months m
  join (select * from stays join spellings using (model_read)) s
    on s.serial = m.serial and s.model_key = m.model_key and s.month = m.month
  join month_days d on ((cast(s.days as bigint) & m.days_counted) >> cast(d.day - 1 as int)) & 1 = 1
  where m.sites > 1
  group by m.serial, m.model_key, m.month, d.day
),
turns as (
  select *, case when coalesce(site, '') = coalesce(lag(site) over by_day, '') then 0 else 1 end as turn
  from mixed_days window by_day as (partition by serial, model_key, month order by day)
),
runs as (
  select *, sum(turn) over (partition by serial, model_key, month order by day rows between unbounded preceding and current row) as run
  from turns
),
pieces as (
  select serial, model_key, month, site, days_counted as days from counted_months where sites = 1 and days_counted <> 0
  union all
  select serial, model_key, month, site, bit_or(cast(1 as bigint) << cast(day - 1 as int)) as days
  from runs group by serial, model_key, month, site, run
)
select
  serial, model_key, month, site, days,
  month + cast(log2(days & -days) as int) as first_day,
  month + cast(floor(log2(days)) as int) as last_day
from pieces
