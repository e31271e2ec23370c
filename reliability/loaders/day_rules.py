"""How many days decide what became of a drive."""

from __future__ import annotations

BRIDGE_DAYS = 30  # a longer gap cuts the life
LISTED_GAP_DAYS = 7  # a longer gap is listed
VANISH_DAYS = 30  # collected days without the drive at the end of the data
REAPPEAR_DAYS = 14  # days after the failure from which a report is not just a late one
LOG_DAYS = 30  # how far an entry of the log may lie from the end that it explains
