-- The month of the awkward drives again, one row a drive, day and site: flag any, values the highest, rows and temperature once a day
-- (at the alphabetically first site), and nothing measured after the day of the failure.
with failures as (
  select serial, model_key, min(date) filter (where failed) as failed_day
  from snapshots join spellings on model_read = model
  group by serial, model_key
),
days as (
  select
    serial, model, date,
    bool_or(failed) as failed,
    max(case when power_on_hours between 0 and 131400 then power_on_hours end) as power_on_hours,
    max(temperature_c) as temperature_c, max(bytes_written) as bytes_written, max(bytes_read) as bytes_read,
    max(reallocated_sectors) as reallocated_sectors, max(pending_sectors) as pending_sectors,
    max(offline_uncorrectable) as offline_uncorrectable, max(reported_uncorrectable) as reported_uncorrectable,
    max(command_timeouts) as command_timeouts, max(interface_crc_errors) as interface_crc_errors,
    max(media_errors) as media_errors, max(percentage_used) as percentage_used, max(available_spare) as available_spare,
    max(capacity_tb) as capacity_tb, min(rack) as rack, min(batch) as batch, min(site) as first_site
  from snapshots
  group by serial, model, date
),
sites as (
  select distinct serial, model, date, site from snapshots
)
select
  serial, model, date, site, failed,
  coalesce(site, '') = coalesce(first_site, '') as counts,
  case when alive then power_on_hours end as power_on_hours,
  case when alive then temperature_c end as temperature_c,
  case when alive then bytes_written end as bytes_written,
  case when alive then bytes_read end as bytes_read,
  case when alive then reallocated_sectors end as reallocated_sectors,
  case when alive then pending_sectors end as pending_sectors,
  case when alive then offline_uncorrectable end as offline_uncorrectable,
  case when alive then reported_uncorrectable end as reported_uncorrectable,
  case when alive then command_timeouts end as command_timeouts,
  case when alive then interface_crc_errors end as interface_crc_errors,
  case when alive then media_errors end as media_errors,
  case when alive then percentage_used end as percentage_used,
  case when alive then available_spare end as available_spare,
  capacity_tb,
  case when alive then rack end as rack,
  case when alive then batch end as batch
from (
  select d.*, w.site, f.failed_day is null or d.date <= f.failed_day as alive
  from days d
  join sites w on w.serial = d.serial and w.model = d.model and w.date = d.date
  join spellings s on s.model_read = d.model
  join failures f on f.serial = d.serial and f.model_key = s.model_key
)
