-- What each entry of the removal log says about which life, and whether it can be believed. code: null where it is used as it stands.
with entries as (
  select r.serial, r.date, r.outcome, r.reason, s.model_key, min(r.model) as model
  from removals r left join spellings s on s.model_read = r.model
  where r.date <= (select fleet_last_day from settings)
  group by r.serial, r.date, r.outcome, r.reason, s.model_key
),
owners as (
  select d.drive, k.serial, k.model_key, d.last_seen, count(*) over (partition by k.serial) as models
  from drives d join known_drives k on k.drive = d.drive
  where k.serial in (select serial from removals)
),
owned as (
  select e.serial, e.date, e.outcome, e.reason, e.model, o.drive, o.model_key, o.last_seen
  from entries e left join owners o
    on o.serial = e.serial and case when e.model is not null then o.model_key = e.model_key else o.models = 1 end
),
ranked as (
  select o.serial, o.drive, o.model_key, o.model, o.date, o.outcome, o.reason, o.last_seen, s.spell, s.first_day, s.last_day, s.site,
    row_number() over (
      partition by o.serial, o.model_key, o.model, o.date, o.outcome, o.reason
      order by abs(cast(o.date - s.last_day as int)), s.last_day
    ) as nearness
  from owned o left join spells s on s.drive = o.drive
),
nearest as (
  select r.*, coalesce(there.days_collected - here.days_collected, 0) as days_short
  from ranked r
  left join calendar here on here.site = coalesce(r.site, '') and here.day = r.date and r.date < r.last_day
  left join calendar there on there.site = coalesce(r.site, '') and there.day = r.last_day and r.date < r.last_day
  where r.nearness = 1
)
select serial, drive, model_key, model, spell, date, outcome, reason, last_day,
  case
    when model_key is null then 'log_unknown'
    when outcome = 'moved' then cast(null as string)
    when cast(last_day - date as int) > (select log_days from settings) or date < first_day
      or (days_short > 1 and last_seen >= (select fleet_last_but_one_day from settings)) then 'seen_after_removal'
    when cast(date - last_day as int) > (select log_days from settings) then 'late_log'
  end as code
from nearest
