-- The months of each drive, a row a counter: when it was first read in the state that warns, and last read at all. Wear is no warning
-- until the rated endurance is used up, nor is spare capacity until some of it is gone; of both a month keeps its last value.
select serial, model, month, unnest([
  {'signal': 'reallocated_sectors', 'warned_on': reallocated_sectors_on, 'read_on': reallocated_sectors_day},
  {'signal': 'pending_sectors', 'warned_on': pending_sectors_on, 'read_on': pending_sectors_day},
  {'signal': 'offline_uncorrectable', 'warned_on': offline_uncorrectable_on, 'read_on': offline_uncorrectable_day},
  {'signal': 'reported_uncorrectable', 'warned_on': reported_uncorrectable_on, 'read_on': reported_uncorrectable_day},
  {'signal': 'command_timeouts', 'warned_on': command_timeouts_on, 'read_on': command_timeouts_day},
  {'signal': 'interface_crc_errors', 'warned_on': interface_crc_errors_on, 'read_on': interface_crc_errors_day},
  {'signal': 'media_errors', 'warned_on': media_errors_on, 'read_on': media_errors_day},
  {'signal': 'percentage_used', 'warned_on': case when percentage_used_last >= 100 then percentage_used_day end, 'read_on': percentage_used_day},
  {'signal': 'available_spare', 'warned_on': case when available_spare_last < 100 then available_spare_day end, 'read_on': available_spare_day}
], recursive := true)
from drive_months
