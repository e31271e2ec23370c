-- How each drive ran up to the end of each month, against what is rated for its model: the highest temperature of the month, and bytes
-- written and read a year, on average over its months so far. A month that follows without a row has no temperature. Only months
-- after which something changes are kept.
with drive_months as (
  select s.serial, n.model, s.month,
    max(s.temperature_highest) as temperature_highest,
    min_by(s.first_bytes_written, (s.first_bytes_written_day, -s.first_bytes_written)) as first_written, min(s.first_bytes_written_day) as first_written_day,
    max_by(s.last_bytes_written, (s.last_bytes_written_day, s.last_bytes_written)) as last_written, max(s.last_bytes_written_day) as last_written_day,
    min_by(s.first_bytes_read, (s.first_bytes_read_day, -s.first_bytes_read)) as first_read, min(s.first_bytes_read_day) as first_read_day,
    max_by(s.last_bytes_read, (s.last_bytes_read_day, s.last_bytes_read)) as last_read, max(s.last_bytes_read_day) as last_read_day
  from stays s join model_names n using (model_read) join ratings r using (model)
  where r.highest_c is not null or r.bytes_per_year is not null
  group by s.serial, n.model, s.month
),
followed as (
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
    else 'unexposed' end as either_rating
from judged
qualify (temperature, workload) is distinct from lag((temperature, workload)) over (partition by serial, model order by from_day)
