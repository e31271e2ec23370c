-- Steps of the power-on counter that a clock would not make: back by more than 48 h, or ahead of the calendar by more than 72 h.
-- A step back from near a power of two to near zero is the counter's wrap. Those of earlier months are carried on.
with months as (
  select drive, month, first_hours, first_hours_day, highest_hours, highest_hours_day, last_hours, last_hours_day
  from counted_months where first_hours is not null and days_counted <> 0
  union all
  select drive, cast(date_trunc('month', last_hours_day) as date), last_hours, last_hours_day,
    last_hours, last_hours_day, last_hours, last_hours_day
  from drives_before where last_hours is not null
),
in_order as (
  select *, lag(last_hours) over by_month as before_hours, lag(last_hours_day) over by_month as before_day
  from months window by_month as (partition by drive order by month)
),
odd_months as (
  -- within such a month, or before it, is a step of that kind; few go on from here
  select * from in_order
  where before_hours - first_hours > 48 or first_hours - before_hours > 24 * cast(first_hours_day - before_day as int) + 72
    or highest_hours - first_hours > 24 * cast(highest_hours_day - first_hours_day as int) + 72
    or highest_hours - last_hours > 48
),
steps as (
  select drive, before_hours as hours_from, before_day as day_from, first_hours as hours_to, first_hours_day as day_to
  from odd_months where before_hours is not null
  union all
  select drive, first_hours, first_hours_day, highest_hours, highest_hours_day from odd_months
  union all
  select drive, highest_hours, highest_hours_day, last_hours, last_hours_day from odd_months
)
select drive, hours_from, day_from, hours_to, day_to, code from hour_steps_before
union all
select drive, hours_from, day_from, hours_to, day_to,
  case
    when hours_to - hours_from > 24 * cast(day_to - day_from as int) + 72 then 'hours_jump'
    when abs(hours_from - 16384) <= cast(0.05 as double) * 16384 and hours_to <= cast(0.05 as double) * 16384
      or abs(hours_from - 32768) <= cast(0.05 as double) * 32768 and hours_to <= cast(0.05 as double) * 32768
      or abs(hours_from - 65536) <= cast(0.05 as double) * 65536 and hours_to <= cast(0.05 as double) * 65536
      or abs(hours_from - 131072) <= cast(0.05 as double) * 131072 and hours_to <= cast(0.05 as double) * 131072
    then 'hours_wrapped'
    else 'hours_backwards'
  end as code
from steps
where hours_from - hours_to > 48 or hours_to - hours_from > 24 * cast(day_to - day_from as int) + 72
