-- The months of each drive with what counts of them: nothing after the day of its failure.
select
  m.*, f.failed_day as drive_failed_day,
  case
    when f.failed_day is null or f.failed_day >= m.month + 31 then days
    when f.failed_day < m.month then cast(0 as bigint)
    else days & ((cast(1 as bigint) << cast(least(cast(f.failed_day - m.month as int), 31) + 1 as int)) - 1)
  end as days_counted
from drive_months m left join failures f on f.drive = m.drive
