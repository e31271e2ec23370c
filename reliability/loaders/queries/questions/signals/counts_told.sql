-- Each drive and counter of sectors or errors: the month from which on it was read, and the day on which it was first above zero.
with told as (
  select s.serial, n.model,
    min(s.month) filter (where s.reallocated_sectors_last_day is not null) as reallocated_sectors_month, min(s.reallocated_sectors_from) as reallocated_sectors_on,
    min(s.month) filter (where s.pending_sectors_last_day is not null) as pending_sectors_month, min(s.pending_sectors_from) as pending_sectors_on,
    min(s.month) filter (where s.offline_uncorrectable_last_day is not null) as offline_uncorrectable_month, min(s.offline_uncorrectable_from) as offline_uncorrectable_on,
    min(s.month) filter (where s.reported_uncorrectable_last_day is not null) as reported_uncorrectable_month, min(s.reported_uncorrectable_from) as reported_uncorrectable_on,
    min(s.month) filter (where s.command_timeouts_last_day is not null) as command_timeouts_month, min(s.command_timeouts_from) as command_timeouts_on,
    min(s.month) filter (where s.interface_crc_errors_last_day is not null) as interface_crc_errors_month, min(s.interface_crc_errors_from) as interface_crc_errors_on,
    min(s.month) filter (where s.media_errors_last_day is not null) as media_errors_month, min(s.media_errors_from) as media_errors_on
  from stays s join model_names n using (model_read)
  group by s.serial, n.model
)
select serial, model, unnest([
  {'signal': 'reallocated_sectors', 'read_from': reallocated_sectors_month, 'warned_on': reallocated_sectors_on},
  {'signal': 'pending_sectors', 'read_from': pending_sectors_month, 'warned_on': pending_sectors_on},
  {'signal': 'offline_uncorrectable', 'read_from': offline_uncorrectable_month, 'warned_on': offline_uncorrectable_on},
  {'signal': 'reported_uncorrectable', 'read_from': reported_uncorrectable_month, 'warned_on': reported_uncorrectable_on},
  {'signal': 'command_timeouts', 'read_from': command_timeouts_month, 'warned_on': command_timeouts_on},
  {'signal': 'interface_crc_errors', 'read_from': interface_crc_errors_month, 'warned_on': interface_crc_errors_on},
  {'signal': 'media_errors', 'read_from': media_errors_month, 'warned_on': media_errors_on}
], recursive := true)
from told
