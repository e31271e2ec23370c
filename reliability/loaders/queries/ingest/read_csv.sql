-- The cells of a CSV file as text; what cannot be cut is stored by the engine as rejects.
select * from read_csv($file, columns = $columns, delim = $delimiter, encoding = $encoding, header = true, auto_detect = false,
  quote = '"', escape = '"', strict_mode = true, store_rejects = true, rejects_limit = 0, max_line_size = $limit, hive_partitioning = false)
