"""Invented fleets with every kind of dirt, each kind with a knob of its own.

plans     what happens to a drive, day by day, before anybody writes it down
hardware  dirt in what happens to a drive: gaps, failures, moves
counters  dirt in its power-on hours
places    dirt in what happens to a site: outages, silence, generations of drives
paper     dirt in the removal log
rows      dirt in how days are written: duplicates, spellings, rows that cannot be read
layout    rows to files: one a day, a month, a quarter; columns in any order, and missing
writers   files to disk: plain, gz, zip; the removal log; the mapping
"""
