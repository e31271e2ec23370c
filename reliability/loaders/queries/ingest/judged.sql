-- All rows of the file, typed; the column at fault where a row cannot be kept.
select * exclude (needs_care), cast(null as varchar) as fault_in_row from plain_rows where not needs_care
union all by name
select * from careful_rows
