-- The snapshots of the parts at hand; each row counts, until a second one of its day shows.
select *, true as counts from snapshot_rows
