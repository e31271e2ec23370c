-- One row a drive and month, over all the spellings of its model and all its sites.
select
  serial, model_key, month,
  bit_or(cast(days as bigint)) as days,
  min(failed_day) as failed_day,
  min_by(first_hours, (first_hours_day, -first_hours)) filter (where first_hours is not null) as first_hours,
  min(first_hours_day) as first_hours_day,
  max(highest_hours) as highest_hours,
  min_by(highest_hours_day, (-highest_hours, highest_hours_day)) filter (where highest_hours is not null) as highest_hours_day,
  max_by(last_hours, (last_hours_day, last_hours)) filter (where last_hours is not null) as last_hours,
  max(last_hours_day) as last_hours_day,
  max(rack_day) as rack_day,
  max(batch_day) as batch_day,
  count(distinct coalesce(site, '')) as sites,
  min(site) as site,
  cast(sum(bit_count(cast(days as bigint))) as bigint) as site_days
from stays join spellings using (model_read)
group by serial, model_key, month
