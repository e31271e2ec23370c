-- What is known of each drive over all months so far, as a summary that the next months merge into.
-- first_after: the first day seen after the day of the failure. unclocked_days: days seen before its first valid hours; all of them while there are none.
with parts as (
  select
    drive,
    month + cast(log2(days & -days) as int) as first_day,
    month + cast(floor(log2(days)) as int) as last_seen,
    case when days <> days_counted
      then month + cast(log2((days & ~days_counted) & -(days & ~days_counted)) as int) end as first_after,
    cast(bit_count(days) as bigint) as days_seen,
    cast(bit_count(days_counted) as bigint) as days_counted,
    drive_failed_day as failed_day,
    case when days_counted <> 0 then first_hours end as first_hours,
    case when days_counted <> 0 then first_hours_day end as first_hours_day,
    case when days_counted <> 0 then last_hours end as last_hours,
    case when days_counted <> 0 then last_hours_day end as last_hours_day,
    cast(bit_count(case
      when days_counted <> 0 and first_hours_day is not null
      then days_counted & ((cast(1 as bigint) << cast(day(first_hours_day) - 1 as int)) - 1)
      else days_counted end) as bigint) as unclocked_days
  from counted_months
  union all
  select drive, first_day, last_seen, first_after, days_seen, days_counted, failed_day,
    first_hours, first_hours_day, last_hours, last_hours_day, unclocked_days
  from drives_before
),
summed_up as (
  select
    drive,
    min(first_day) as first_day,
    max(last_seen) as last_seen,
    min(first_after) as first_after,
    cast(sum(days_seen) as bigint) as days_seen,
    cast(sum(days_counted) as bigint) as days_counted,
    min(failed_day) as failed_day,
    min_by(first_hours, first_hours_day) filter (where first_hours is not null) as first_hours,
    min(first_hours_day) as first_hours_day,
    max_by(last_hours, last_hours_day) filter (where last_hours is not null) as last_hours,
    max(last_hours_day) as last_hours_day,
    cast(sum(unclocked_days) as bigint) as unclocked_days
  from parts group by drive
),
clocked_by_then as (
  select p.drive, cast(sum(p.unclocked_days) as bigint) as days
  from parts p join summed_up s on s.drive = p.drive and p.first_day > s.first_hours_day
  where p.unclocked_days > 0
  group by p.drive
)
select
  s.drive, s.first_day, s.last_seen, s.first_after, s.days_seen, s.days_counted, s.failed_day,
  s.first_hours, s.first_hours_day, s.last_hours, s.last_hours_day,
  s.unclocked_days - coalesce(c.days, cast(0 as bigint)) as unclocked_days
from summed_up s left join clocked_by_then c on c.drive = s.drive
