-- Spans cut at the ends of the age bands. A drive-day belongs to the band (from, to] that holds the age at its end; spans of unknown
-- age belong to none.
select s.serial, s.model, s.site, s.rack, s.batch, s.quarter,
  least(s.age_days + s.drive_days, coalesce(b.to_days, s.age_days + s.drive_days)) - greatest(s.age_days, b.from_days) as drive_days,
  s.fails and (b.to_days is null or s.age_days + s.drive_days <= b.to_days) as fails,
  b.from_days as age_from_days, b.to_days as age_to_days
from spans s join bands b on s.age_days + s.drive_days > b.from_days and (b.to_days is null or s.age_days < b.to_days)
