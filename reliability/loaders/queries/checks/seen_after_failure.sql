-- A drive reports 1 to 13 days after it failed.
select 'seen_after_failure' as code, serial, model_key, first_day, cast(null as bigint) as life, rows,
  'last seen ' || cast(days_after as string) || ' days after the failure' as detail
from after_failure where days_after < (select reappear_days from settings)
