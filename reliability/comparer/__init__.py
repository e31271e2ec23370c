"""Observed against stated, model against model, and what vanished drives and batches could change of it."""
