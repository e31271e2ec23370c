-- The records, counted from 1 with header and blank lines, that could not be cut into their columns.
select line, min(error_type), min(error_message), any_value(csv_line) from reject_errors group by line order by line
