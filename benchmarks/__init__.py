"""How fast, as ratios against bare programs that do one step each: `python -m benchmarks`."""
