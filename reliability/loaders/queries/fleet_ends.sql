-- The fleet's first day, its last, and the last but one on which it reported.
select min(day), max(day), max(case when day < (select max(day) from fleet_days) then day end) from fleet_days
