-- Of each drive and counter: from which month on it was read, and on which day it first warned. The error counters together are one
-- signal more, read where any of them is, and warning when the first of them does.
with turns as (
  select serial, model, signal, min(month) as read_from, min(warned_on) as warned_on
  from counter_readings where read_on is not null
  group by serial, model, signal
)
select * from turns
union all
select serial, model, 'any_error_counter' as signal, min(read_from), min(warned_on)
from turns join error_counters using (signal)
group by serial, model
