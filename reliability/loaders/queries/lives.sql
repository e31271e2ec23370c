-- Spells to lives: how each ended, and how old the drive was. The clock is the first valid power-on hours, set back to the first day.
with used as (
  -- the nearest entry gives the reason; of two as near the earlier, of two on one day the alphabetically first
  select drive, spell, outcome, reason,
    row_number() over (
      partition by drive, spell, outcome
      order by abs(cast(date - last_day as int)), date, reason is null, reason
    ) as nearness
  from removal_use
  where spell is not null and outcome in ('failed', 'retired') and coalesce(code, 'late_log') = 'late_log'
),
told as (
  select drive, spell, bool_or(outcome = 'failed') as failed,
    max(case when outcome = 'retired' and nearness = 1 then reason end) as reason
  from used
  group by drive, spell
),
reached as (
  select s.drive,
    max(s.spell) as final_spell,
    coalesce(min(case when t.failed then s.spell end), max(s.spell)) as last_spell
  from spells s left join told t on t.drive = s.drive and t.spell = s.spell
  group by s.drive
),
ends as (
  select f.drive, f.final_spell, f.last_spell, s.last_day
  from reached f join spells s on s.drive = f.drive and s.spell = f.last_spell
),
set_back as (
  -- hours read only after the failure that the log told set no clock
  select d.drive, d.first_day,
    case when d.first_hours_day <= e.last_day
      then cast(ceil(d.first_hours / 24 - cast(0.02 as double)) as int) - 1 - cast(d.first_hours_day - d.first_day as int)
    end as age_days
  from drives d join ends e on e.drive = d.drive
),
clocks as (
  select *, case when age_days < 0 then 0 else age_days end as age_at_first from set_back
)
select s.drive, k.serial, k.model_key, s.spell as life, s.site, s.rack, s.batch, s.first_day, s.last_day,
  cast(s.last_day - s.first_day as int) + 1 as drive_days,
  cast(s.days_seen as int) as days_seen,
  c.age_at_first + cast(s.first_day - c.first_day as int) as entry_age_days,
  c.age_at_first + cast(s.last_day - c.first_day as int) + 1 as exit_age_days,
  c.age_days as clock_days,
  case
    when s.flagged or coalesce(t.failed, false) then 'failed'
    when t.spell is not null then 'retired'
    when s.spell < e.final_spell then 'interrupted'
    when there.days_reported - here.days_reported > (select vanish_days from settings) then 'vanished'
    else 'in service'
  end as outcome,
  case when not s.flagged and not t.failed then t.reason end as reason,
  case when c.age_days is null then 'unknown' else 'power_on_hours' end as age_source,
  s.longest_gap_days, s.absences
from spells s
join known_drives k on k.drive = s.drive
join ends e on e.drive = s.drive and s.spell <= e.last_spell
join clocks c on c.drive = s.drive
left join told t on t.drive = s.drive and t.spell = s.spell
join calendar here on here.site = coalesce(s.site, '') and here.day = s.last_day
join calendar there on there.site = here.site and there.day = (select fleet_last_day from settings)
