-- Drives in service at the end of a day, as they were known then, by model and age; and how many of them failed on the days after it, up to
-- another. A drive that vanished, or came back as another life, was still in service until so many collected days had passed.
with sites as (
  select site, count(distinct (serial, model)) >= 2 as alone from lives where site is not null group by site
),
reports as (
  select distinct site, month + (d.day - 1) as day
  from days_collected join month_days d on (cast(days as bigint) >> cast(d.day - 1 as int)) & 1 = 1
),
latest as (
  select l.*, coalesce(s.alone, false) as alone
  from lives l left join sites s on s.site = l.site
  where l.first_day <= $last_day
  qualify row_number() over (partition by l.serial, l.model order by l.life desc) = 1
),
last_seen as (
  select distinct case when alone then site end as site, alone, last_day
  from latest where outcome in ('vanished', 'interrupted') and last_day <= $last_day
),
waited as (
  select seen.site, seen.alone, seen.last_day, count(distinct r.day) as days_after
  from last_seen seen left join reports r
    on r.day > seen.last_day and r.day <= $last_day and (not seen.alone or r.site = seen.site)
  group by seen.site, seen.alone, seen.last_day
),
standing as (
  select l.*
  from latest l left join waited w
    on w.last_day = l.last_day and w.alone = l.alone and w.site is not distinct from case when l.alone then l.site end
  where l.last_day > $last_day or l.outcome = 'in service'
    or (l.outcome in ('vanished', 'interrupted') and w.days_after <= $vanish_days)
),
failures as (
  select distinct serial, model from lives
  where outcome = 'failed' and last_day > $last_day and last_day <= $failed_by
)
select s.model, s.entry_age_days + cast($last_day - s.first_day as int) + 1 as age, count(*) as drives, count(f.serial) as failed
from standing s left join failures f on f.serial = s.serial and f.model = s.model
group by s.model, age
order by s.model, age nulls last
