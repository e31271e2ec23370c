-- Lives within the window, cut where a signal changes its state; age is that at the start of the span's first day.
with cut as (
  select l.serial, l.model, p.signal, p.state, l.entry_age_days, l.outcome, l.first_day as life_first_day, l.last_day as life_last_day,
    greatest(l.first_day, p.from_day, $first_day) as first_day, least(l.last_day, p.to_day, $last_day) as last_day
  from lives l join state_periods p on p.serial = l.serial and p.model = l.model and p.from_day <= l.last_day and p.to_day >= l.first_day
)
select serial, model, signal, state,
  cast(last_day - first_day as int) + 1 as drive_days,
  entry_age_days + cast(first_day - life_first_day as int) as age_days,
  outcome = 'failed' and last_day = life_last_day as fails
from cut where first_day <= last_day
