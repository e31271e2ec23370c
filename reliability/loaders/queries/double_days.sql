-- Days on which one drive reported from two named sites, or under two spellings of its model; those of earlier months are carried on.
with crowded as (
  select drive, month from counted_months where site_days > bit_count(days)
),
days as (
  select s.drive, s.month + (d.day - 1) as day,
    count(distinct s.site) as sites, count(distinct s.model_read) as spellings,
    min(s.site) as first_site, max(s.site) as last_site, min(s.model_read) as first_spelling, max(s.model_read) as last_spelling
  from named_stays s
  join crowded c on c.drive = s.drive and c.month = s.month
  join month_days d on (s.days >> cast(d.day - 1 as int)) & 1 = 1
  group by s.drive, s.month + (d.day - 1)
)
select drive, day, code, detail from double_days_before
union all
select drive, day, 'two_sites' as code, first_site || ' and ' || last_site as detail from days where sites > 1
union all
select drive, day, 'duplicate' as code, first_spelling || ' and ' || last_spelling as detail from days where spellings > 1
