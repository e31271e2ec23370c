-- The rows of a Parquet file.
select * from read_parquet($file, hive_partitioning = false)
