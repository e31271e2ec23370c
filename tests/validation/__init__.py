"""Proof that the methods do what they say: docs/validation.md is written from here.

published  check values from outside, and ours beside each
"""
