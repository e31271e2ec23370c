-- The rack and the batch that a drive was last seen with in a month; on one day the alphabetically first.
select m.serial, m.model_key, m.month,
  min(case when s.rack_day = m.rack_day then s.rack end) as rack, m.rack_day,
  min(case when s.batch_day = m.batch_day then s.batch end) as batch, m.batch_day
from counted_months m
join (select * from stays join spellings using (model_read)) s
  on s.serial = m.serial and s.model_key = m.model_key and s.month = m.month
where m.rack_day is not null or m.batch_day is not null
group by m.serial, m.model_key, m.month, m.rack_day, m.batch_day
