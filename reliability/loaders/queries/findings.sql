-- Findings with the lives that they touch. A finding about the whole drive touches all its lives; one with a day, the life that holds
-- the day or is the last before it.
with starts as (
  select serial, model_key, life, first_day, lead(first_day) over (partition by serial, model_key order by life) as next_day from lives
)
select f.code, f.serial, f.model_key, s.life, f.first_day, f.rows, f.detail
from raw_findings f left join starts s
  on s.serial = f.serial and s.model_key = f.model_key
  and (f.code in ('age_unknown', 'hours_invalid', 'hours_short', 'model_changed')
    or ((f.first_day >= s.first_day or s.life = 1) and (s.next_day is null or f.first_day < s.next_day)))
