-- How many outage days of months already added up have come or gone since.
select count(*) from (
  (select site, day from calendar where outage and day <= (select last_day from through)
   except select site, day from outages_before)
  union all
  (select site, day from outages_before
   except select site, day from calendar where outage and day <= (select last_day from through))
)
