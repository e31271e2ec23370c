-- The stays that were there and those of the parts that came.
select * from old_stays
union all
select * from new_stays
