-- What each file holds: rows by month, and those that cannot be kept, which have no month.
select source_file, case when fault is null then cast(date_trunc('month', date) as date) end as month, count(*) as rows
from judged
group by source_file, case when fault is null then cast(date_trunc('month', date) as date) end
