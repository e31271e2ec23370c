-- Where each life was in each period of the window, a row for each; age is that at the start of the span's first day.
select w.serial, w.model, w.site, w.rack, w.batch, p.quarter,
  greatest(w.first_day, p.first_day) as first_day,
  cast(least(w.last_day, p.last_day) - greatest(w.first_day, p.first_day) as int) + 1 as drive_days,
  w.entry_age_days + cast(greatest(w.first_day, p.first_day) - w.first_day as int) as age_days,
  w.fails and w.last_day <= p.last_day as fails,
  cast(null as int) as age_from_days, cast(null as int) as age_to_days
from whereabouts w join periods p on w.first_day <= p.last_day and w.last_day >= p.first_day
