-- Drives in service that were last seen so long ago that only the silence of their whole site explains it.
with fleet as (
  select distinct month + (d.day - 1) as day
  from days_collected join month_days d on (cast(days as bigint) >> cast(d.day - 1 as int)) & 1 = 1
),
later as (
  select day, count(*) over (order by day desc) - 1 as days_after from fleet
),
final_lives as (
  select *, max(life) over (partition by serial, model) as final_life from lives
)
select l.model, l.site, count(*) as drives, max(l.last_day) as last_day
from final_lives l join later on later.day = l.last_day
where l.life = l.final_life and l.outcome = 'in service' and later.days_after > $vanish_days
group by l.model, l.site
order by l.model, l.site nulls last
