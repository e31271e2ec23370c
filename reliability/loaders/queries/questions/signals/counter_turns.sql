-- Of each drive and counter that it told: from which month on it was read, and on which day it first warned. The error counters
-- together are one signal more, read where any of them is, and warning when the first of them does.
select serial, model, signal, read_from, warned_on from counts_told where read_from is not null
union all
select serial, model, signal, read_from, warned_on from wear_told
union all
select serial, model, 'any_error_counter', min(read_from), min(warned_on)
from counts_told join error_counters using (signal) where read_from is not null
group by serial, model
