"""driveyears."""
