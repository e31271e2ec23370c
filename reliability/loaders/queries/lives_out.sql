-- Lives as the store promises them: the model's shown name and the codes of the checks that touched them.
with touched as (
  select serial, model_key, life,
    max(case when code = 'age_unknown' then 'age_unknown ' else '' end)
      || max(case when code = 'duplicate' then 'duplicate ' else '' end)
      || max(case when code = 'duplicate_across_files' then 'duplicate_across_files ' else '' end)
      || max(case when code = 'gap' then 'gap ' else '' end)
      || max(case when code = 'hours_backwards' then 'hours_backwards ' else '' end)
      || max(case when code = 'hours_invalid' then 'hours_invalid ' else '' end)
      || max(case when code = 'hours_jump' then 'hours_jump ' else '' end)
      || max(case when code = 'hours_short' then 'hours_short ' else '' end)
      || max(case when code = 'hours_wrapped' then 'hours_wrapped ' else '' end)
      || max(case when code = 'late_flag' then 'late_flag ' else '' end)
      || max(case when code = 'late_log' then 'late_log ' else '' end)
      || max(case when code = 'model_changed' then 'model_changed ' else '' end)
      || max(case when code = 'reappeared' then 'reappeared ' else '' end)
      || max(case when code = 'seen_after_failure' then 'seen_after_failure ' else '' end)
      || max(case when code = 'seen_after_removal' then 'seen_after_removal ' else '' end)
      || max(case when code = 'two_sites' then 'two_sites ' else '' end)
      || max(case when code = 'vanished' then 'vanished ' else '' end)
      as checks
  from findings where life is not null
  group by serial, model_key, life
)
select l.serial, m.model, cast(l.life as int) as life, l.site, l.rack, l.batch, l.first_day, l.last_day, l.drive_days, l.days_seen,
  l.entry_age_days, l.exit_age_days, l.outcome, l.reason, l.age_source, l.longest_gap_days, cast(l.absences as int) as absences, coalesce(trim(t.checks), '') as checks
from lives l join models m using (model_key)
left join touched t on t.serial = l.serial and t.model_key = l.model_key and t.life = l.life
order by l.serial, m.model, l.life
