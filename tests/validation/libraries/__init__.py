"""General libraries on the same data: their number, and ours beside it."""
