-- The outage days that the months added up so far rest on.
select site, day from calendar where outage and day <= (select last_day from through)
