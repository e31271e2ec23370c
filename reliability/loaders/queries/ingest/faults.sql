-- The rows that cannot be kept: which, the column at fault, the day if it was one, and the cells as they were.
select ordinal_in_file, fault_in_row, judged.date, as_it_was
from judged join raw as_it_was on as_it_was.rowid = ordinal_in_file
where fault_in_row is not null
order by ordinal_in_file
