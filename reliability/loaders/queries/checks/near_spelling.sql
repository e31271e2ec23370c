-- Two models whose names nearly agree and are not joined: letters and digits the same, or one the other without its first words.
select 'near_spelling' as code, cast(null as string) as serial, model_key, cast(null as date) as first_day, cast(null as bigint) as life, cast(0 as bigint) as rows,
  other as detail
from near_spellings
