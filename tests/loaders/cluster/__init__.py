"""A package, so that one cluster runs for all tests of the folder and ends with the last of them."""
