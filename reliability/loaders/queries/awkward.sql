-- Drives whose month cannot be summed up row by row: two rows on one day, or rows after the day of a failure.
-- Asked of the stays of one month; the answer is usually nobody.
with failures as (
  select serial, model_key, min(failed_day) as failed_day, bit_or(cast(days as bigint)) as days
  from stays join spellings using (model_read)
  group by serial, model_key
),
repeated as (
  select serial from stays
  group by serial, model_read
  having sum(rows) <> bit_count(bit_or(cast(days as bigint)))
)
select serial from repeated
union
select serial from failures where (days >> cast(day(failed_day) as int)) <> 0
