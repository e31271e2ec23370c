-- How many rows of each file are second or later rows of one drive and day.
select detail as source_file, cast(sum(rows) as bigint) as rows from repeats where code = 'duplicate' group by detail
