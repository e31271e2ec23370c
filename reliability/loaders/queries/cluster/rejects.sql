-- The rows that cannot be kept, of each file the first ones: which, the column at fault, the day if it was one, and the cell as it was.
select source_file, row_index, fault, case when date between date '1000-01-01' and date '9999-12-31' then date end as date, cell
from (select *, row_number() over (partition by source_file order by row_index) as place from judged where fault is not null)
where place <= :listed
order by source_file, row_index
