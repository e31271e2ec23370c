-- Unbroken times of a drive at one site. spell counts the times between cutting gaps: it becomes the life.
with turns as (
  select *,
    collected_days > (select bridge_days from settings) as cuts,
    before_day is null as begins,
    coalesce(site, '') <> before_site as moves
  from steps
),
numbered as (
  select *,
    cast(sum(case when begins then coalesce(spell, 1) when cuts then 1 else 0 end) over upto as bigint) as spell_number,
    cast(sum(case when begins then coalesce(stint, 1) when cuts or moves then 1 else 0 end) over upto as bigint) as stint_number
  from turns
  window upto as (partition by drive order by first_day rows between unbounded preceding and current row)
),
walked as (
  select drive, spell_number as spell, stint_number as stint, min(site) as site,
    min(first_day) as first_day, max(last_day) as last_day,
    cast(sum(days_seen) as bigint) as days_seen,
    cast(sum(absences + case when not begins and not cuts and cast(first_day - before_day as int) > 1 then 1 else 0 end) as bigint) as absences,
    max(greatest(longest_gap_days, case when begins or cuts then 0 else collected_days end)) as longest_gap_days,
    max_by(rack, rack_day) filter (where rack is not null) as rack,
    max(rack_day) as rack_day,
    max_by(batch, batch_day) filter (where batch is not null) as batch,
    max(batch_day) as batch_day
  from numbered
  group by drive, spell_number, stint_number
)
select drive, spell, stint, site, first_day, last_day, days_seen, absences, longest_gap_days, rack, rack_day, batch, batch_day,
  true as is_open
from unbroken
union all
select drive, spell, stint, site, first_day, last_day, days_seen, absences, longest_gap_days, rack, rack_day, batch, batch_day,
  stint = max(stint) over (partition by drive) as is_open
from walked
union all
select drive, spell, stint, site, first_day, last_day, days_seen, absences, longest_gap_days, rack, rack_day, batch, batch_day,
  false as is_open
from stints_before where not is_open
