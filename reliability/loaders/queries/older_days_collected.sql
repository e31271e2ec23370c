-- Of the days collected those of the months added up so far.
select site, month, days from days_collected where month <= (select last_day from through)
