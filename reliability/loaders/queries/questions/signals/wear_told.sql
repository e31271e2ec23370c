-- Endurance and spare capacity of each drive: the month from which on they were read, and the day of the first last reading of a month
-- that warns. Wear is no warning until the rated endurance is used up, nor is spare capacity until some of it is gone.
with months as (
  select s.serial, n.model, s.month,
    max_by(s.percentage_used_last, (s.percentage_used_last_day, s.percentage_used_last)) as used, max(s.percentage_used_last_day) as used_day,
    max_by(s.available_spare_last, (s.available_spare_last_day, s.available_spare_last)) as spare, max(s.available_spare_last_day) as spare_day
  from stays s join model_names n using (model_read)
  where s.percentage_used_last_day is not null or s.available_spare_last_day is not null
  group by s.serial, n.model, s.month
)
select serial, model, 'percentage_used' as signal, min(month) as read_from, min(used_day) filter (where used >= 100) as warned_on
from months where used_day is not null group by serial, model
union all
select serial, model, 'available_spare', min(month), min(spare_day) filter (where spare < 100)
from months where spare_day is not null group by serial, model
