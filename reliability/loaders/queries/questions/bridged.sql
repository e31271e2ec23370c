-- Absences within lives, and the drive-days credited for them.
select sum(absences), sum(drive_days - days_seen) from lives
