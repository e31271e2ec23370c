"""Snapshots that are summed up where they lie, by an Apache Spark cluster; only stays come home."""
