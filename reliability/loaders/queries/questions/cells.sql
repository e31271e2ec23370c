-- Drives, drive-days and failures under the labels asked for; a label not asked for is null throughout.
select
  case when (select model from asked) then model end as model,
  case when (select quarter from asked) then quarter end as quarter,
  age_from_days, age_to_days,
  case when (select site from asked) then site end as site,
  case when (select rack from asked) then rack end as rack,
  case when (select batch from asked) then batch end as batch,
  count(distinct (serial, model)) as drives,
  cast(sum(drive_days) as bigint) as drive_days,
  count(case when fails then 1 end) as failures
from spans_to_count
group by all
