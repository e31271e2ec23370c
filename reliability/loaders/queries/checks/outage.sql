-- Days on which a site, or the whole fleet, did not report; and sites that fell silent before the data's end.
with marked as (
  select distinct case when alone then site else '' end as site, day from calendar where outage
),
runs as (
  select site, day, day - cast(row_number() over (partition by site order by day) as int) as run from marked
),
spans as (
  select site, min(day) as first_day, max(day) as last_day from runs group by site, run
),
silent as (
  select site, max(case when reported then day end) as last_report
  from calendar where alone group by site
),
fallen as (
  select site, last_report + 1 as first_day, (select fleet_last_day from settings) as last_day from silent
  where (select count(*) from fleet_days f where f.day > silent.last_report) > (select vanish_days from settings)
)
select 'outage' as code, cast(null as string) as serial, cast(null as string) as model_key, first_day, cast(null as bigint) as life, cast(0 as bigint) as rows,
  cast(cast(last_day - first_day as int) + 1 as string) || ' days, ' || case when site = '' then 'the fleet' else 'site ' || site end as detail
from (select * from spans union all select * from fallen)
