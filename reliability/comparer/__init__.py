"""Observed against stated, and what vanished drives could change of it."""
