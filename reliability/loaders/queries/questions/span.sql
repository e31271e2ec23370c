-- The first and the last day of exposure.
select min(first_day), max(last_day) from whereabouts
