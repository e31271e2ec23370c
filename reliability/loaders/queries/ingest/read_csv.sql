-- The cells of a file as text, under our names; names are given by position, for the engine skips the header unread.
create temp table raw as
select columns(lambda name: not starts_with(name, 'unused '))
from read_csv($file, columns = $columns, delim = $delimiter, encoding = $encoding, header = true, auto_detect = false,
  quote = '"', escape = '"', strict_mode = true, store_rejects = true, rejects_limit = 0, max_line_size = $limit)
