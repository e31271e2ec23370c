"""Mathematics of the risk table: survival, hazards, fits and tests from counts by age."""
