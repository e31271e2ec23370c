-- Stretches of the other drives, in order, each with the absence that led to it.
with in_order as (
  select *,
    lag(last_day) over by_day as before_day,
    coalesce(lag(site) over by_day, '') as before_site
  from stretches s
  where not exists (select 1 from unbroken u where u.drive = s.drive)
  window by_day as (partition by drive order by first_day)
)
select s.*,
  coalesce(there.days_collected - here.days_collected, 0) as collected_days
from in_order s
left join calendar here on here.site = s.before_site and here.day = s.before_day and cast(s.first_day - s.before_day as int) > 1
left join calendar there on there.site = s.before_site and there.day = s.first_day - 1 and cast(s.first_day - s.before_day as int) > 1
