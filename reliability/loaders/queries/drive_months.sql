-- One row a drive and month, over all the spellings of its model and all its sites. Nearly every month of a drive is one stay,
-- and is taken as it is.
with named as (
  select serial, model_key, month, cast(days as bigint) as days, failed_day, first_hours, first_hours_day, highest_hours, highest_hours_day,
    last_hours, last_hours_day, rack_day, batch_day, site
  from stays join spellings using (model_read)
),
crowded as (
  select serial, model_key, month from named group by serial, model_key, month having count(*) > 1
)
select serial, model_key, month, days, failed_day, first_hours, first_hours_day, highest_hours, highest_hours_day, last_hours, last_hours_day,
  rack_day, batch_day, cast(1 as bigint) as sites, site, cast(bit_count(days) as bigint) as site_days
from named n where not exists (select 1 from crowded c where c.serial = n.serial and c.model_key = n.model_key and c.month = n.month)
union all
select
  serial, model_key, month,
  bit_or(days) as days,
  min(failed_day) as failed_day,
  min_by(first_hours, (first_hours_day, -first_hours)) filter (where first_hours is not null) as first_hours,
  min(first_hours_day) as first_hours_day,
  max(highest_hours) as highest_hours,
  min_by(highest_hours_day, (-highest_hours, highest_hours_day)) filter (where highest_hours is not null) as highest_hours_day,
  max_by(last_hours, (last_hours_day, last_hours)) filter (where last_hours is not null) as last_hours,
  max(last_hours_day) as last_hours_day,
  max(rack_day) as rack_day,
  max(batch_day) as batch_day,
  count(distinct coalesce(site, '')) as sites,
  min(site) as site,
  cast(sum(bit_count(days)) as bigint) as site_days
from (
  select n.* from named n
  join crowded c on c.serial = n.serial and c.model_key = n.model_key and c.month = n.month
) crowd
group by serial, model_key, month
