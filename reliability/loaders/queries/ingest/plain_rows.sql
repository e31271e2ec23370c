-- The rows whose cells mean at once what they say; the others have needs_care and are judged cell by cell (judged.sql).
-- A cell that is null here is null there, and a number, day or word found here is the same there: only the looks are cheaper.
with numbers as (
  select *,
    rowid as ordinal_in_file,
    -- epoch and infinity are days to the engine, in whatever format
    coalesce($day, case when regexp_matches(date, '^[0-9]') then try_cast(try_strptime(date, $date_format) as date) end) as day_found,
    case
      when failed is null then false
      when $failed_values is not null then list_contains($failed_values, failed)
      when failed in ('true', 'True', 'TRUE', '1', 'yes', 't') then true
      when failed in ('false', 'False', 'FALSE', '0', 'no', 'f') then false
    end as flag_found,
    try_cast(capacity_tb as double) as capacity_tb_number,
    try_cast(power_on_hours as double) as power_on_hours_number,
    try_cast(temperature_c as double) as temperature_c_number,
    try_cast(bytes_written as double) as bytes_written_number,
    try_cast(bytes_read as double) as bytes_read_number,
    try_cast(reallocated_sectors as double) as reallocated_sectors_number,
    try_cast(pending_sectors as double) as pending_sectors_number,
    try_cast(offline_uncorrectable as double) as offline_uncorrectable_number,
    try_cast(reported_uncorrectable as double) as reported_uncorrectable_number,
    try_cast(command_timeouts as double) as command_timeouts_number,
    try_cast(interface_crc_errors as double) as interface_crc_errors_number,
    try_cast(media_errors as double) as media_errors_number,
    try_cast(percentage_used as double) as percentage_used_number,
    try_cast(available_spare as double) as available_spare_number
  from raw
)
select
  * exclude (
    day_found, flag_found, capacity_tb_number, power_on_hours_number, temperature_c_number, bytes_written_number,
    bytes_read_number, reallocated_sectors_number, pending_sectors_number, offline_uncorrectable_number,
    reported_uncorrectable_number, command_timeouts_number, interface_crc_errors_number, media_errors_number,
    percentage_used_number, available_spare_number
  )
  replace (
    day_found as date,
    flag_found as failed,
    capacity_tb_number * ($scales).capacity_tb as capacity_tb,
    power_on_hours_number * ($scales).power_on_hours as power_on_hours,
    temperature_c_number * ($scales).temperature_c as temperature_c,
    bytes_written_number * ($scales).bytes_written as bytes_written,
    bytes_read_number * ($scales).bytes_read as bytes_read,
    reallocated_sectors_number * ($scales).reallocated_sectors as reallocated_sectors,
    pending_sectors_number * ($scales).pending_sectors as pending_sectors,
    offline_uncorrectable_number * ($scales).offline_uncorrectable as offline_uncorrectable,
    reported_uncorrectable_number * ($scales).reported_uncorrectable as reported_uncorrectable,
    command_timeouts_number * ($scales).command_timeouts as command_timeouts,
    interface_crc_errors_number * ($scales).interface_crc_errors as interface_crc_errors,
    media_errors_number * ($scales).media_errors as media_errors,
    percentage_used_number * ($scales).percentage_used as percentage_used,
    available_spare_number * ($scales).available_spare as available_spare
  ),
  coalesce(day_found < date '1000-01-01' or day_found > cast($today as date) + 1, true)
      or coalesce(regexp_matches(serial, $ragged), true)
      or coalesce(regexp_matches(model, $ragged), true)
      or flag_found is null
      or coalesce(regexp_matches(failed, $ragged), false)
      or coalesce(regexp_matches(site, $ragged), false)
      or coalesce(regexp_matches(rack, $ragged), false)
      or coalesce(regexp_matches(batch, $ragged), false)
      or capacity_tb is not null and (not coalesce(isfinite(capacity_tb_number), false) or contains(capacity_tb, '_'))
      or power_on_hours is not null and (power_on_hours_number is null or contains(power_on_hours, '_'))
      or temperature_c is not null and (not coalesce(isfinite(temperature_c_number), false) or contains(temperature_c, '_'))
      or bytes_written is not null and (not coalesce(isfinite(bytes_written_number), false) or contains(bytes_written, '_'))
      or bytes_read is not null and (not coalesce(isfinite(bytes_read_number), false) or contains(bytes_read, '_'))
      or reallocated_sectors is not null and (not coalesce(isfinite(reallocated_sectors_number), false) or contains(reallocated_sectors, '_'))
      or pending_sectors is not null and (not coalesce(isfinite(pending_sectors_number), false) or contains(pending_sectors, '_'))
      or offline_uncorrectable is not null and (not coalesce(isfinite(offline_uncorrectable_number), false) or contains(offline_uncorrectable, '_'))
      or reported_uncorrectable is not null and (not coalesce(isfinite(reported_uncorrectable_number), false) or contains(reported_uncorrectable, '_'))
      or command_timeouts is not null and (not coalesce(isfinite(command_timeouts_number), false) or contains(command_timeouts, '_'))
      or interface_crc_errors is not null and (not coalesce(isfinite(interface_crc_errors_number), false) or contains(interface_crc_errors, '_'))
      or media_errors is not null and (not coalesce(isfinite(media_errors_number), false) or contains(media_errors, '_'))
      or percentage_used is not null and (not coalesce(isfinite(percentage_used_number), false) or contains(percentage_used, '_'))
      or available_spare is not null and (not coalesce(isfinite(available_spare_number), false) or contains(available_spare, '_'))
  as needs_care
from numbers
