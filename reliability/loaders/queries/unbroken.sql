-- Drives that were at one site all the time, each of their stretches beginning on the day after the one before: nearly all.
-- Together these are one stint, and nobody has to walk through them in order.
select drive, min(site) as site, min(first_day) as first_day, max(last_day) as last_day,
  cast(sum(days_seen) as bigint) as days_seen,
  cast(sum(absences) as bigint) as absences,
  max(longest_gap_days) as longest_gap_days,
  max_by(rack, rack_day) filter (where rack is not null) as rack,
  max(rack_day) as rack_day,
  max_by(batch, batch_day) filter (where batch is not null) as batch,
  max(batch_day) as batch_day,
  coalesce(max(spell), cast(1 as bigint)) as spell,
  coalesce(max(stint), cast(1 as bigint)) as stint
from stretches
group by drive
having cast(max(last_day) - min(first_day) as int) + 1 = sum(cast(last_day - first_day as int) + 1)
  and (count(site) = 0 or (count(site) = count(*) and min(site) = max(site)))
