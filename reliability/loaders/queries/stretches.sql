-- What each drive was there for, in pieces, the stint that was open before among them. A rack or batch counts from the day that it is last seen with.
select drive, site, first_day, last_day, days_seen, absences, longest_gap_days, rack, rack_day, batch, batch_day, spell, stint
from stints_before where is_open
union all
select p.drive, p.site, p.first_day, p.last_day,
  cast(bit_count(p.days) as bigint) as days_seen,
  cast(bit_count(p.days & ~(p.days << 1)) - 1 as bigint) as absences,
  coalesce(w.longest, 0) as longest_gap_days,
  case when p.rack_day <= p.last_day then p.rack end as rack,
  case when p.rack_day <= p.last_day then p.rack_day end as rack_day,
  case when p.batch_day <= p.last_day then p.batch end as batch,
  case when p.batch_day <= p.last_day then p.batch_day end as batch_day,
  cast(null as bigint) as spell, cast(null as bigint) as stint
from pieces p
left join (
  select drive, piece_day, max(collected_days) as longest from absences_within group by drive, piece_day
) w on w.drive = p.drive and w.piece_day = p.first_day
