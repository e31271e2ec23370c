"""A perfect reader: every rule of the histories, row by row and day by day, with no thought of speed.

nouns        what goes in and what comes out
reading      text cells -> rows, or the reason why not
spelling     which spellings are one model
collected    the days on which a site collected data
histories    rows -> one record per drive and day -> lives
removal_log  which log entry says how which life ended
clock        the age at entry, and faults of the power-on hours
findings     what is odd, counted and located
signals      in which state of its health each drive was on each day
exposure     drive-days and failures, one day after the other
reader       all of it together

It shares no code with the package, and no idea but the rules: lists of days, sets and dicts; no SQL, no bits.
The numbers in the comments ("rule 7") are those of the rules by which rows become lives.
"""
