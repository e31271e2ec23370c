-- Stays with those of the awkward drives replaced by the settled ones.
select * from plain_stays where serial not in (select serial from awkward)
union all
select * from settled_stays
