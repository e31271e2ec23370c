-- Each failure of the window whose drive had reported the counter before: days from the first warning to it, null without one. A
-- warning first read on the day of the failure is none.
select t.signal, case when t.warned_on < l.last_day then cast(l.last_day - t.warned_on as int) end as lead_days
from lives l join counter_turns t on t.serial = l.serial and t.model = l.model and t.read_from <= l.last_day
where l.outcome = 'failed' and l.last_day between $first_day and $last_day
order by all nulls last
