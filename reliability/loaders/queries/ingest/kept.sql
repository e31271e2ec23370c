-- The rows that can be kept, as the store keeps them.
select * exclude (ordinal_in_file, fault_in_row) from judged where fault_in_row is null
