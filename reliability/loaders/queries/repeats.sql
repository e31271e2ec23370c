-- Which awkward drive reported twice on one day: within one file, or in more than one.
with by_file as (
  select serial, model as model_read, date, source_file as source, count(*) as rows from snapshots
  group by serial, model, date, source_file
)
select 'duplicate' as code, serial, model_read, date as first_day, cast(rows - 1 as bigint) as rows, source as detail
from by_file where rows > 1
union all
select 'duplicate_across_files' as code, serial, model_read, date as first_day, cast(count(*) - 1 as bigint) as rows,
  min(source) || ' and ' || max(source) as detail
from by_file group by serial, model_read, date having count(*) > 1
