-- All snapshots of the month of the drives that cannot be summed up row by row.
select * from snapshot_rows where serial in (select serial from awkward)
