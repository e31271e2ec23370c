-- Stints to spells: the lives as the rows alone tell them, before the removal log is asked.
with numbered as (
  select *, max(stint) over (partition by drive, spell) as last_stint from stints
)
select s.drive, s.spell,
  min(s.first_day) as first_day, max(s.last_day) as last_day,
  min(case when s.stint = s.last_stint then s.site end) as site,
  max_by(s.rack, s.rack_day) filter (where s.rack is not null) as rack,
  max_by(s.batch, s.batch_day) filter (where s.batch is not null) as batch,
  cast(sum(s.days_seen) as bigint) as days_seen,
  cast(sum(s.absences) as bigint) as absences,
  max(s.longest_gap_days) as longest_gap_days,
  coalesce(bool_or(s.last_day = d.failed_day), false) as flagged
from numbered s join drives d on d.drive = s.drive
group by s.drive, s.spell
