-- For each site and day: did it report, was the day an outage, and both counted up so that a span is one subtraction.
-- A named site of two or more drives is judged by itself; all others take the fleet's calendar. A missing site is written ''.
with reports as (
  select distinct coalesce(site, '') as site, month + (d.day - 1) as day
  from days_collected join month_days d on (cast(days as bigint) >> cast(d.day - 1 as int)) & 1 = 1
),
sites as (
  select coalesce(site, '') as site, site is not null and count(*) >= 2 as alone from presence group by site
),
candidates as (
  select s.site, a.day
  from sites s cross join all_days a
  where s.alone and not exists (select 1 from reports r where r.site = s.site and r.day = a.day)
),
spanned as (
  select c.site, c.day
  from candidates c join presence p on coalesce(p.site, '') = c.site and p.first_day < c.day and p.last_day > c.day
  group by c.site, c.day having count(*) >= 2
),
judged as (
  select
    s.site, s.alone, a.day,
    case when s.alone then r.day is not null else f.day is not null end as reported,
    f.day is null or o.day is not null as outage
  from sites s cross join all_days a
  left join reports r on r.site = s.site and r.day = a.day
  left join fleet_days f on f.day = a.day
  left join spanned o on o.site = s.site and o.day = a.day
)
select
  site, alone, day, reported, outage,
  cast(sum(case when reported then 1 else 0 end) over upto as int) as days_reported,
  cast(sum(case when outage then 0 else 1 end) over upto as int) as days_collected
from judged
window upto as (partition by site order by day rows between unbounded preceding and current row)
