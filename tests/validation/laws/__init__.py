"""Laws that estimates must keep whatever the fleet: which estimator keeps which."""
