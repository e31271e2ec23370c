-- Lives cut by site, with the bridged days placed: where the drive was last seen, from a `moved` entry on where it is seen next.
with followed as (
  select s.drive, s.spell, s.stint, s.site, s.first_day, s.last_day,
    lead(s.first_day) over (partition by s.drive, s.spell order by s.stint) as next_day
  from stints s
),
turned as (
  select f.*,
    case
      when f.next_day is null then null
      when min(m.date) is null then f.next_day
      when min(m.date) <= f.last_day then f.last_day + 1
      else min(m.date)
    end as leaves_day
  from followed f
  left join removal_use m on m.outcome = 'moved' and m.drive = f.drive
    and m.date >= f.last_day and m.date < f.next_day
  group by f.drive, f.spell, f.stint, f.site, f.first_day, f.last_day, f.next_day
),
placed as (
  select *, lag(leaves_day) over (partition by drive, spell order by stint) as came_day from turned
)
select l.serial, l.model_key, l.life, p.site, l.rack, l.batch,
  coalesce(p.came_day, p.first_day) as first_day,
  coalesce(p.leaves_day - 1, p.last_day) as last_day,
  l.entry_age_days + cast(coalesce(p.came_day, p.first_day) - l.first_day as int) as entry_age_days,
  l.outcome = 'failed' and p.leaves_day is null as fails
from placed p join lives l on l.drive = p.drive and l.life = p.spell
