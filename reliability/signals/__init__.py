"""How states that drives pass through go with failure: hazard ratios by two ways, and warnings before it."""
