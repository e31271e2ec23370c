-- The rows that cannot be kept: which, the column at fault, the day if it was one, and the cells as they were.
select j.ordinal_in_file, j.fault_in_row, j.date, r
from judged j join raw r on r.rowid = j.ordinal_in_file
where j.fault_in_row is not null
order by j.ordinal_in_file
