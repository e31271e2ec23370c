-- Stays under the number of their drive, over all the spellings of its model; of their columns those that lives are made of.
select
  k.drive, s.model_read, s.site, s.month, cast(s.days as bigint) as days, s.failed_day,
  s.first_hours, s.first_hours_day, s.highest_hours, s.highest_hours_day, s.last_hours, s.last_hours_day,
  s.rack, s.rack_day, s.batch, s.batch_day
from stays s
join spellings n on n.model_read = s.model_read
join known_drives k on k.serial = s.serial and k.model_key = n.model_key
