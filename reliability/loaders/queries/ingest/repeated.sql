-- How many rows of the file are second or later rows of one drive, as its model was read, and day.
select coalesce(sum(rows - days), 0) from (
  select sum(rows) as rows, bit_count(bit_or(days)) as days from file_stays group by serial, model_read, month
)
