-- All spans together, and those that no age band could hold.
select
  count(distinct (serial, model)) as drives,
  cast(coalesce(sum(drive_days), 0) as bigint) as drive_days,
  count(case when fails then 1 end) as failures,
  count(distinct case when age_days is null then (serial, model) end) as drives_left_out,
  cast(coalesce(sum(case when age_days is null then drive_days end), 0) as bigint) as drive_days_left_out,
  count(case when fails and age_days is null then 1 end) as failures_left_out
from spans
