"""Bare programs that do one step each, as a good engineer writes them when nothing else is asked."""
