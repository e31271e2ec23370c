-- Rejected rows by what was wrong with them, most first; of each kind the first row as an example.
select
  count(*) as rows, column_name, reason,
  unnest(arg_min({'value': value, 'file': file, 'line': line}, {'file': file, 'line': line}))
from rejects
group by column_name, reason
order by rows desc, column_name, reason
