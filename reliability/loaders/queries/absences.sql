-- Absences long enough to be listed, or cutting; those of earlier months are carried on.
select drive, first_day, last_day, collected_days, cuts from absences_before
union all
select drive, first_day, last_day, collected_days, false as cuts
from absences_within where collected_days > (select listed_gap_days from settings)
union all
select drive, before_day + 1 as first_day, first_day - 1 as last_day, cast(collected_days as int) as collected_days,
  collected_days > (select bridge_days from settings) as cuts
from steps where collected_days > (select listed_gap_days from settings)
