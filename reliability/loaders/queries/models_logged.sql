-- The spellings of models in the removal log.
select distinct model from removals where model is not null order by model
