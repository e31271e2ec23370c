-- Drives whose month cannot be summed up row by row: two rows on one day, or rows after the day of a failure.
-- Asked of the stays of one month; the answer is usually nobody.
with suspects as (
  -- nearly every serial number has one stay, without a flag and with as many rows as days, and is passed over at once
  select serial from stays
  group by serial
  having count(*) > 1 or min(failed_day) is not null or sum(rows) <> sum(bit_count(days))
),
looked_at as (
  select * from stays where serial in (select serial from suspects)
),
failures as (
  select serial, model_key, min(failed_day) as failed_day, bit_or(cast(days as bigint)) as days
  from looked_at join spellings using (model_read)
  group by serial, model_key
),
repeated as (
  select serial from looked_at
  group by serial, model_read
  having sum(rows) <> bit_count(bit_or(cast(days as bigint)))
)
select serial from repeated
union
select serial from failures where (days >> cast(day(failed_day) as int)) <> 0
