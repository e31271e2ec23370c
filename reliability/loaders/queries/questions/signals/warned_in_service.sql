-- Drives in service at the end of the window that have reported the counter, and those of them with a warning so far.
with standing as (
  select *, max(life) over (partition by serial, model) as final_life from lives where first_day <= $last_day
)
select t.signal, count(*) as in_service, count(case when t.warned_on <= $last_day then 1 end) as warned
from standing l join counter_turns t on t.serial = l.serial and t.model = l.model and t.read_from <= $last_day
where l.life = l.final_life and (l.outcome not in ('failed', 'retired', 'vanished') or l.last_day > $last_day)
group by t.signal
