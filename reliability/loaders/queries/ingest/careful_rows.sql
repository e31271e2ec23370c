-- The rows that need care, with their values typed and the first fault found: the column at fault, null where the row can be kept.
-- Only the embedded engine runs this: the distributed one reads Parquet that has been through it.
with cells as (
  select r.rowid as ordinal_in_file,
    r.* replace (
      -- epoch and infinity are days to the engine, in whatever format; a year has four digits.
      coalesce($day, case when not regexp_matches(date, 'epoch|infinity', 'i')
        then try_cast(try_strptime(trim(date, $blanks), $date_format) as date) end) as date,
      nullif(trim(serial, $blanks), '') as serial,
      nullif(trim(model, $blanks), '') as model,
      nullif(trim(failed, $blanks), '') as failed,
      nullif(trim(site, $blanks), '') as site,
      nullif(trim(rack, $blanks), '') as rack,
      nullif(trim(batch, $blanks), '') as batch,
      -- 1_000 is a number to the engine, and to nobody who writes such files.
      nullif(trim(replace(capacity_tb, '_', '?'), $blanks), '') as capacity_tb,
      nullif(trim(replace(power_on_hours, '_', '?'), $blanks), '') as power_on_hours,
      nullif(trim(replace(temperature_c, '_', '?'), $blanks), '') as temperature_c,
      nullif(trim(replace(bytes_written, '_', '?'), $blanks), '') as bytes_written,
      nullif(trim(replace(bytes_read, '_', '?'), $blanks), '') as bytes_read,
      nullif(trim(replace(reallocated_sectors, '_', '?'), $blanks), '') as reallocated_sectors,
      nullif(trim(replace(pending_sectors, '_', '?'), $blanks), '') as pending_sectors,
      nullif(trim(replace(offline_uncorrectable, '_', '?'), $blanks), '') as offline_uncorrectable,
      nullif(trim(replace(reported_uncorrectable, '_', '?'), $blanks), '') as reported_uncorrectable,
      nullif(trim(replace(command_timeouts, '_', '?'), $blanks), '') as command_timeouts,
      nullif(trim(replace(interface_crc_errors, '_', '?'), $blanks), '') as interface_crc_errors,
      nullif(trim(replace(media_errors, '_', '?'), $blanks), '') as media_errors,
      nullif(trim(replace(percentage_used, '_', '?'), $blanks), '') as percentage_used,
      nullif(trim(replace(available_spare, '_', '?'), $blanks), '') as available_spare
    )
  from raw r semi join (select ordinal_in_file from plain_rows where needs_care) p on p.ordinal_in_file = r.rowid
),
faulted as (
  select *,
    case
      when date is null or date < date '1000-01-01' or date > cast($today as date) + 1 then 'date'
      when serial is null or regexp_matches(serial, '\p{Cc}') then 'serial'
      when model is null or regexp_matches(model, '\p{Cc}') then 'model'
      when $failed_values is null and lower(coalesce(failed, '')) not in
        ('', 'true', 't', 'yes', 'y', '1', '1.0', 'false', 'f', 'no', 'n', '0', '0.0') then 'failed'
      when capacity_tb is not null and not coalesce(isfinite(try_cast(capacity_tb as double)), false) then 'capacity_tb'
      when power_on_hours is not null and try_cast(power_on_hours as double) is null then 'power_on_hours'
      when temperature_c is not null and not coalesce(isfinite(try_cast(temperature_c as double)), false) then 'temperature_c'
      when bytes_written is not null and not coalesce(isfinite(try_cast(bytes_written as double)), false) then 'bytes_written'
      when bytes_read is not null and not coalesce(isfinite(try_cast(bytes_read as double)), false) then 'bytes_read'
      when reallocated_sectors is not null and not coalesce(isfinite(try_cast(reallocated_sectors as double)), false) then 'reallocated_sectors'
      when pending_sectors is not null and not coalesce(isfinite(try_cast(pending_sectors as double)), false) then 'pending_sectors'
      when offline_uncorrectable is not null and not coalesce(isfinite(try_cast(offline_uncorrectable as double)), false) then 'offline_uncorrectable'
      when reported_uncorrectable is not null and not coalesce(isfinite(try_cast(reported_uncorrectable as double)), false) then 'reported_uncorrectable'
      when command_timeouts is not null and not coalesce(isfinite(try_cast(command_timeouts as double)), false) then 'command_timeouts'
      when interface_crc_errors is not null and not coalesce(isfinite(try_cast(interface_crc_errors as double)), false) then 'interface_crc_errors'
      when media_errors is not null and not coalesce(isfinite(try_cast(media_errors as double)), false) then 'media_errors'
      when percentage_used is not null and not coalesce(isfinite(try_cast(percentage_used as double)), false) then 'percentage_used'
      when available_spare is not null and not coalesce(isfinite(try_cast(available_spare as double)), false) then 'available_spare'
    end as fault_in_row
  from cells
)
select
  * replace (
    case
      when $failed_values is not null then coalesce(list_contains($failed_values, failed), false)
      else coalesce(lower(failed) in ('true', 't', 'yes', 'y', '1', '1.0'), false)
    end as failed,
    try_cast(capacity_tb as double) * ($scales).capacity_tb as capacity_tb,
    try_cast(power_on_hours as double) * ($scales).power_on_hours as power_on_hours,
    try_cast(temperature_c as double) * ($scales).temperature_c as temperature_c,
    try_cast(bytes_written as double) * ($scales).bytes_written as bytes_written,
    try_cast(bytes_read as double) * ($scales).bytes_read as bytes_read,
    try_cast(reallocated_sectors as double) * ($scales).reallocated_sectors as reallocated_sectors,
    try_cast(pending_sectors as double) * ($scales).pending_sectors as pending_sectors,
    try_cast(offline_uncorrectable as double) * ($scales).offline_uncorrectable as offline_uncorrectable,
    try_cast(reported_uncorrectable as double) * ($scales).reported_uncorrectable as reported_uncorrectable,
    try_cast(command_timeouts as double) * ($scales).command_timeouts as command_timeouts,
    try_cast(interface_crc_errors as double) * ($scales).interface_crc_errors as interface_crc_errors,
    try_cast(media_errors as double) * ($scales).media_errors as media_errors,
    try_cast(percentage_used as double) * ($scales).percentage_used as percentage_used,
    try_cast(available_spare as double) * ($scales).available_spare as available_spare
  )
from faulted
