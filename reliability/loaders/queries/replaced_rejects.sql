-- Rejected rows of all files as they stand now.
select file, line, column_name, value, reason from rejects_before where file not in (select name from read_now)
union all
select file, line, column_name, value, reason from rejects
order by file, line
