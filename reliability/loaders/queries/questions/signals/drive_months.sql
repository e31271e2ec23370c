-- What each drive read in each month, over all its spellings and sites. Of a counter: the day on which it was first above zero, the
-- last value and its day; of temperature the highest; of bytes the first and the last value with their days.
select s.serial, n.model, s.month,
  max(s.temperature_highest) as temperature_highest,
  min_by(s.first_bytes_written, (s.first_bytes_written_day, -s.first_bytes_written)) as first_written, min(s.first_bytes_written_day) as first_written_day,
  max_by(s.last_bytes_written, (s.last_bytes_written_day, s.last_bytes_written)) as last_written, max(s.last_bytes_written_day) as last_written_day,
  min_by(s.first_bytes_read, (s.first_bytes_read_day, -s.first_bytes_read)) as first_read, min(s.first_bytes_read_day) as first_read_day,
  max_by(s.last_bytes_read, (s.last_bytes_read_day, s.last_bytes_read)) as last_read, max(s.last_bytes_read_day) as last_read_day,
  min(s.reallocated_sectors_from) as reallocated_sectors_on, max(s.reallocated_sectors_last_day) as reallocated_sectors_day,
  min(s.pending_sectors_from) as pending_sectors_on, max(s.pending_sectors_last_day) as pending_sectors_day,
  min(s.offline_uncorrectable_from) as offline_uncorrectable_on, max(s.offline_uncorrectable_last_day) as offline_uncorrectable_day,
  min(s.reported_uncorrectable_from) as reported_uncorrectable_on, max(s.reported_uncorrectable_last_day) as reported_uncorrectable_day,
  min(s.command_timeouts_from) as command_timeouts_on, max(s.command_timeouts_last_day) as command_timeouts_day,
  min(s.interface_crc_errors_from) as interface_crc_errors_on, max(s.interface_crc_errors_last_day) as interface_crc_errors_day,
  min(s.media_errors_from) as media_errors_on, max(s.media_errors_last_day) as media_errors_day,
  max_by(s.percentage_used_last, (s.percentage_used_last_day, s.percentage_used_last)) as percentage_used_last,
  max(s.percentage_used_last_day) as percentage_used_day,
  max_by(s.available_spare_last, (s.available_spare_last_day, s.available_spare_last)) as available_spare_last,
  max(s.available_spare_last_day) as available_spare_day
from stays s join model_names n using (model_read)
group by s.serial, n.model, s.month
