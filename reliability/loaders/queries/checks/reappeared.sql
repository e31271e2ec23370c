-- A drive reports 14 or more days after it failed: a false flag, a repair, or a new drive of that serial.
select 'reappeared' as code, serial, model_key, first_day, cast(null as bigint) as life, rows,
  'last seen ' || cast(days_after as string) || ' days after the failure' as detail
from after_failure where days_after >= (select reappear_days from settings)
