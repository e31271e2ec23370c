-- A drive is absent between two of its reports for more than 7 collected days, or for so long that its life is cut.
select 'gap' as code, e.serial, e.model_key, a.first_day, cast(null as bigint) as life, cast(1 as bigint) as rows,
  cast(a.collected_days as string) || ' collected days' || case when a.cuts then ', the life is cut' else ', bridged' end as detail
from absences a join drive_ends e on e.drive = a.drive and a.last_day < e.last_day
