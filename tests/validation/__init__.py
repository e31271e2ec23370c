"""Proof that the methods do what they say: docs/validation.md is written from here, by tests/validate.py.

published  check values from outside, and ours beside each
libraries  the same data through general libraries
laws       what estimates must keep whatever the fleet
coverage   how often limits and verdicts are right, with a wrong method beside each
pipeline   the whole way, from dirty files to verdicts
page       the sections of the page; markdown its tables
"""
