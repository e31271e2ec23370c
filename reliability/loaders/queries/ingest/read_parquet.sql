-- The rows of a Parquet file.
select * from read_parquet($file)
