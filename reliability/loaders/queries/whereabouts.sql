-- Lives cut by site, with the bridged days placed: where the drive was last seen, from a `moved` entry on where it is seen next.
with followed as (
  select s.serial, s.model_key, s.spell, s.stint, s.site, s.first_day, s.last_day,
    lead(s.first_day) over (partition by s.serial, s.model_key, s.spell order by s.stint) as next_day
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
  left join removal_use m on m.outcome = 'moved' and m.serial = f.serial and m.model_key = f.model_key
    and m.date >= f.last_day and m.date < f.next_day
  group by f.serial, f.model_key, f.spell, f.stint, f.site, f.first_day, f.last_day, f.next_day
),
placed as (
  select *, lag(leaves_day) over (partition by serial, model_key, spell order by stint) as came_day from turned
)
select p.serial, l.model_key, l.life, p.site, l.rack, l.batch,
  coalesce(p.came_day, p.first_day) as first_day,
  coalesce(p.leaves_day - 1, p.last_day) as last_day,
  l.entry_age_days + cast(coalesce(p.came_day, p.first_day) - l.first_day as int) as entry_age_days,
  l.outcome = 'failed' and p.leaves_day is null as fails
from placed p join lives l on l.serial = p.serial and l.model_key = p.model_key and l.life = p.spell
