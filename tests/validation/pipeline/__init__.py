"""Calibration of the whole way: dirty fleets of known rate, from files through load to verdicts."""
