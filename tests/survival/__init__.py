"""Tests of the mathematics of the risk table."""
