"""Files in, Parquet and lives out: the only folder that knows SQL."""
