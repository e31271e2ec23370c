-- Snapshots to stays: what one drive, as its model was read, did at one site in one month.
-- Every column merges with that of another stay of the same key (merged_stays.py), so a stay is never counted from its neighbours.
-- A second row of one day shows as rows above the number of bits; settled_snapshots.sql then settles that drive and month,
-- so a first or last value need not care which of two rows of one day it takes.
with valid as (
  select *, case when power_on_hours between 0 and 131400 then power_on_hours end as hours from snapshots
)
select
  serial,
  model as model_read,
  site,
  cast(date_trunc('month', date) as date) as month,
  cast(bit_or(cast(1 as bigint) << cast(day(date) - 1 as int)) as int) as days,
  cast(count(case when counts then 1 end) as int) as rows,
  min(date) filter (where failed) as failed_day,

  min_by(hours, date) filter (where hours is not null) as first_hours,
  min(date) filter (where hours is not null) as first_hours_day,
  max(hours) as highest_hours,
  min_by(date, (-hours, date)) filter (where hours is not null) as highest_hours_day,
  max_by(hours, date) filter (where hours is not null) as last_hours,
  max(date) filter (where hours is not null) as last_hours_day,

  sum(case when counts then temperature_c end) as temperature_sum,
  cast(count(case when counts then temperature_c end) as int) as temperature_count,
  max(case when counts then temperature_c end) as temperature_highest,

  min_by(bytes_written, date) filter (where bytes_written is not null) as first_bytes_written,
  min(date) filter (where bytes_written is not null) as first_bytes_written_day,
  max_by(bytes_written, date) filter (where bytes_written is not null) as last_bytes_written,
  max(date) filter (where bytes_written is not null) as last_bytes_written_day,
  min_by(bytes_read, date) filter (where bytes_read is not null) as first_bytes_read,
  min(date) filter (where bytes_read is not null) as first_bytes_read_day,
  max_by(bytes_read, date) filter (where bytes_read is not null) as last_bytes_read,
  max(date) filter (where bytes_read is not null) as last_bytes_read_day,

  min(date) filter (where reallocated_sectors > 0) as reallocated_sectors_from,
  max_by(reallocated_sectors, date) filter (where reallocated_sectors is not null) as reallocated_sectors_last,
  max(date) filter (where reallocated_sectors is not null) as reallocated_sectors_last_day,
  min(date) filter (where pending_sectors > 0) as pending_sectors_from,
  max_by(pending_sectors, date) filter (where pending_sectors is not null) as pending_sectors_last,
  max(date) filter (where pending_sectors is not null) as pending_sectors_last_day,
  min(date) filter (where offline_uncorrectable > 0) as offline_uncorrectable_from,
  max_by(offline_uncorrectable, date) filter (where offline_uncorrectable is not null) as offline_uncorrectable_last,
  max(date) filter (where offline_uncorrectable is not null) as offline_uncorrectable_last_day,
  min(date) filter (where reported_uncorrectable > 0) as reported_uncorrectable_from,
  max_by(reported_uncorrectable, date) filter (where reported_uncorrectable is not null) as reported_uncorrectable_last,
  max(date) filter (where reported_uncorrectable is not null) as reported_uncorrectable_last_day,
  min(date) filter (where command_timeouts > 0) as command_timeouts_from,
  max_by(command_timeouts, date) filter (where command_timeouts is not null) as command_timeouts_last,
  max(date) filter (where command_timeouts is not null) as command_timeouts_last_day,
  min(date) filter (where interface_crc_errors > 0) as interface_crc_errors_from,
  max_by(interface_crc_errors, date) filter (where interface_crc_errors is not null) as interface_crc_errors_last,
  max(date) filter (where interface_crc_errors is not null) as interface_crc_errors_last_day,
  min(date) filter (where media_errors > 0) as media_errors_from,
  max_by(media_errors, date) filter (where media_errors is not null) as media_errors_last,
  max(date) filter (where media_errors is not null) as media_errors_last_day,
  min(date) filter (where percentage_used > 0) as percentage_used_from,
  max_by(percentage_used, date) filter (where percentage_used is not null) as percentage_used_last,
  max(date) filter (where percentage_used is not null) as percentage_used_last_day,
  min(date) filter (where available_spare > 0) as available_spare_from,
  max_by(available_spare, date) filter (where available_spare is not null) as available_spare_last,
  max(date) filter (where available_spare is not null) as available_spare_last_day,

  max(capacity_tb) as capacity_tb,
  max_by(rack, date) filter (where rack is not null) as rack,
  max(date) filter (where rack is not null) as rack_day,
  max_by(batch, date) filter (where batch is not null) as batch,
  max(date) filter (where batch is not null) as batch_day
from valid
group by serial, model, site, cast(date_trunc('month', date) as date)
