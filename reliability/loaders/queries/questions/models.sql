-- The models, in alphabetical order.
select distinct model from lives order by model
