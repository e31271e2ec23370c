-- The rows of one month that can be kept, as a part of a store would hold them.
select * from judged where fault is null and date between :first_day and :last_day
