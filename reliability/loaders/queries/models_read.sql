-- The spellings of models in the stays.
select distinct model_read from stays order by model_read
