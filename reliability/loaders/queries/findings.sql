-- Findings with the lives that they touch. life is named, or 0 for every life of the drive, or null for the life that holds the day,
-- which is the last one begun by then. What belongs to a life that fell away, for an earlier one failed, touches the last.
with starts as (
  select serial, model_key, life, first_day, lead(first_day) over (partition by drive order by life) as next_day from lives
)
select f.code, f.serial, f.model_key, s.life, f.first_day, f.rows, f.detail
from raw_findings f left join starts s
  on s.serial = f.serial and s.model_key = f.model_key
  and case
    when f.life = 0 then true
    when f.life is not null then s.life = f.life or (s.next_day is null and s.life < f.life)
    else (f.first_day >= s.first_day or s.life = 1) and (s.next_day is null or f.first_day < s.next_day)
  end
