-- Lives that were retired within a window of days, by model and by the reason that the log gives.
select model, reason, count(*) as lives
from lives where outcome = 'retired' and last_day between $first_day and $last_day
group by model, reason
order by model, reason nulls last
