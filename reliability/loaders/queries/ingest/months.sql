-- The months that the kept rows fall into.
select distinct cast(date_trunc('month', date) as date) from judged where fault_in_row is null order by 1
