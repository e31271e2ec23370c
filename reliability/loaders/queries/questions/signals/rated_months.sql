-- How each drive ran up to the end of each month, against what is rated for its model: the highest temperature of the month, and bytes
-- written and read a year, on average over its months so far. A month that follows without a row has no temperature.
with followed as (
  select *, cast(month + interval 1 month as date) as next_month, lead(month) over (partition by serial, model order by month) as later
  from drive_months
),
months as (
  select serial, model, month, temperature_highest,
    case when last_written >= first_written and last_written_day > first_written_day then last_written - first_written end as written,
    last_written_day - first_written_day as written_days,
    case when last_read >= first_read and last_read_day > first_read_day then last_read - first_read end as read,
    last_read_day - first_read_day as read_days
  from followed
  union all
  select serial, model, next_month, null, null, null, null, null from followed where later is distinct from next_month
),
so_far as (
  select serial, model, month, temperature_highest,
    $days_per_year * (
      sum(written) over upto / sum(case when written is not null then written_days end) over upto
      + sum(read) over upto / sum(case when read is not null then read_days end) over upto
    ) as bytes_per_year
  from months
  window upto as (partition by serial, model order by month rows between unbounded preceding and current row)
),
judged as (
  select s.serial, s.model, cast(s.month + interval 1 month as date) as from_day,
    case when r.highest_c is null then 'not rated' when s.temperature_highest is null then 'not reported'
      when s.temperature_highest > r.highest_c then 'exposed' else 'unexposed' end as temperature,
    case when r.bytes_per_year is null then 'not rated' when s.bytes_per_year is null then 'not reported'
      when s.bytes_per_year > r.bytes_per_year then 'exposed' else 'unexposed' end as workload
  from so_far s join ratings r using (model)
)
select *,
  case when 'exposed' in (temperature, workload) then 'exposed' when 'not reported' in (temperature, workload) then 'not reported'
    when 'unexposed' in (temperature, workload) then 'unexposed' else 'not rated' end as either_rating
from judged
