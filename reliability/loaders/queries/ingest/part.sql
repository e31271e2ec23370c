-- The rows of one month of one file, as the store keeps them.
select * exclude (ordinal_in_file, fault_in_row), $source as source_file
from judged
where fault_in_row is null and date >= $month and date < cast(cast($month as date) + interval 1 month as date)
order by serial, date, model
