-- The findings as the store promises them.
select f.code as check, f.serial, m.model, f.first_day, cast(f.rows as int) as rows, f.detail
from raw_findings f left join models m using (model_key)
order by f.code, f.serial nulls first, m.model nulls first, f.first_day nulls first, f.detail nulls first
