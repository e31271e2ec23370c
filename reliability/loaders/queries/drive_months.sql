-- One row a drive and month, over all the spellings of its model and all its sites. Nearly every month of a drive is one stay,
-- and is taken as it is. Of two racks or batches the last counts; on one day the alphabetically first.
with crowded as (
  select drive, month from named_stays group by drive, month having count(*) > 1
)
select drive, month, days, failed_day, first_hours, first_hours_day, highest_hours, highest_hours_day, last_hours, last_hours_day,
  rack, rack_day, batch, batch_day, cast(1 as bigint) as sites, site, cast(bit_count(days) as bigint) as site_days
from named_stays s where not exists (select 1 from crowded c where c.drive = s.drive and c.month = s.month)
union all
select
  drive, month,
  bit_or(days) as days,
  min(failed_day) as failed_day,
  min_by(first_hours, (first_hours_day, -first_hours)) filter (where first_hours is not null) as first_hours,
  min(first_hours_day) as first_hours_day,
  max(highest_hours) as highest_hours,
  min_by(highest_hours_day, (-highest_hours, highest_hours_day)) filter (where highest_hours is not null) as highest_hours_day,
  max_by(last_hours, (last_hours_day, last_hours)) filter (where last_hours is not null) as last_hours,
  max(last_hours_day) as last_hours_day,
  min_by(rack, (-cast(rack_day - month as int), rack)) filter (where rack is not null) as rack,
  max(rack_day) as rack_day,
  min_by(batch, (-cast(batch_day - month as int), batch)) filter (where batch is not null) as batch,
  max(batch_day) as batch_day,
  count(distinct coalesce(site, '')) as sites,
  min(site) as site,
  cast(sum(bit_count(days)) as bigint) as site_days
from (
  select s.* from named_stays s join crowded c on c.drive = s.drive and c.month = s.month
) crowd
group by drive, month
