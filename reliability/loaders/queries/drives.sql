-- What is known of each drive over all months so far, as a summary that the next months merge into.
-- first_after: the first day seen after the day of the failure. unclocked_days: days seen before its first valid hours; all of them while there are none.
with months as (
  select
    serial, model_key,
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
),
parts as (
  select serial, model_key, first_day, last_seen, first_after, days_seen, days_counted, failed_day,
    first_hours, first_hours_day, last_hours, last_hours_day, unclocked_days
  from months
  union all
  select serial, model_key, first_day, last_seen, first_after, days_seen, days_counted, failed_day,
    first_hours, first_hours_day, last_hours, last_hours_day, unclocked_days
  from drives_before
),
clocked as (
  select *, min(first_hours_day) over (partition by serial, model_key) as clock_day from parts
)
select
  serial, model_key,
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
  cast(sum(case when clock_day is null or first_day <= clock_day then unclocked_days else 0 end) as bigint) as unclocked_days
from clocked
group by serial, model_key
