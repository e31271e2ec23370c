-- Each drive under each signal, from day to day in one state. A reading counts from the day after it: the state of a day is what was
-- known when it began.
with changes as (
  select d.serial, d.model, f.signal, date '0001-01-01' as from_day, f.state
  from (select distinct serial, model from lives) d join first_states f using (model)
  union all
  select serial, model, signal, read_from, 'unexposed' from counter_turns
  union all
  select serial, model, signal, warned_on + 1, 'exposed' from counter_turns where warned_on is not null
  union all
  select serial, model, signal, from_day, state
  from rated_months unpivot (state for signal in (temperature, workload, either_rating))
),
turns as (
  select * from changes qualify state is distinct from lag(state) over (partition by serial, model, signal order by from_day)
)
select *, coalesce(lead(from_day) over (partition by serial, model, signal order by from_day) - 1, date '9999-12-31') as to_day
from turns
