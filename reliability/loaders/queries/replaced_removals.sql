-- Entries of all removal logs as they stand now.
select serial, date, outcome, model, reason, log from removals_before where log not in (select name from read_now)
union all
select serial, date, outcome, model, reason, log from removals
order by serial, date, outcome, model, reason
