-- How many rows of the file are second or later rows of one drive, as its model was read, and day.
select coalesce(sum(rows - 1), 0) from (
  select count(*) as rows from judged where fault_in_row is null group by serial, model, date having count(*) > 1
)
