"""The rules a history must keep: each with what it means and what it does to the results.

Each code is also a query. A check never repairs; it counts and points.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Check:
    """One rule: its code, what was found where it is broken, and the price of it."""

    code: str
    meaning: str
    price: str


CHECKS = (
    Check(
        "gap",
        "A drive is absent between two of its reports for more than 7 collected days.",
        (
            "Up to 30 days are bridged and count as exposure; a longer absence ends the life, and the "
            "drive comes back as its next one."
        ),
    ),
    Check(
        "duplicate",
        "A drive reports twice on one day: two rows of one file, or two spellings of its model.",
        "One day; a failure flag in either counts, and the higher hours.",
    ),
    Check(
        "duplicate_across_files",
        "A drive reports on one day in two files.",
        "Counted once.",
    ),
    Check(
        "model_changed",
        "One serial appears under two models.",
        (
            "Two drives. If it is one with a wrong name, there is one drive too many, and its life is cut"
            " in two."
        ),
    ),
    Check(
        "near_spelling",
        "Two model names nearly agree: the same letters and digits, or one without its first words.",
        "Two models. If they are one, join them in a mapping, under [models].",
    ),
    Check(
        "seen_after_failure",
        "A drive reports 1 to 13 days after it failed.",
        "The rows after the failure count for nothing.",
    ),
    Check(
        "reappeared",
        "A drive reports 14 or more days after it failed: a false flag, a repair, or a new drive of that serial.",
        "It stays a failure, and is no new life: a new drive needs a serial number of its own.",
    ),
    Check(
        "late_flag",
        "A failure is first flagged after an absence of more than 7 collected days.",
        "It is dated to the day of the flag; it may have happened up to that long before.",
    ),
    Check(
        "vanished",
        (
            "A drive stopped appearing more than 30 collected days before the end, without a flag or an "
            "entry in the log."
        ),
        (
            "Counts as exposure up to the last report. If it failed, the rate is too low: see best and "
            "worst case."
        ),
    ),
    Check(
        "outage",
        "A site, or the whole fleet, did not report.",
        "Such days are no absence of its drives; within a life they count as exposure.",
    ),
    Check(
        "two_sites",
        "A drive reports from two sites on one day.",
        "Counted once, at the alphabetically first.",
    ),
    Check(
        "age_unknown",
        "A drive never has valid power-on hours.",
        "Counts in rates; left out wherever age is asked.",
    ),
    Check(
        "hours_invalid",
        "Power-on hours before the first valid ones are blank, not finite, negative or above 131,400.",
        "Skipped; the age starts from the first valid hours, set back by the days before.",
    ),
    Check(
        "hours_short",
        "The first power-on hours are fewer than the days the drive had been seen by then.",
        "The age at its first day is put at 0; it may have been switched off for a time.",
    ),
    Check(
        "hours_backwards",
        "Power-on hours go back by more than 48 h.",
        "None: age goes on by the calendar.",
    ),
    Check(
        "hours_wrapped",
        "Power-on hours go back from near a power of two to near zero: the counter is full.",
        ("None: age goes on by the calendar. A drive that had wrapped before its first row looks too young."),
    ),
    Check(
        "hours_jump",
        "Power-on hours run ahead of the calendar by more than 72 h.",
        "None: age goes on by the calendar.",
    ),
    Check(
        "seen_after_removal",
        "A drive goes on reporting after the log says that it was pulled.",
        "The entry is not used.",
    ),
    Check(
        "late_log",
        "The log tells of an end more than 30 days after the drive was last seen.",
        "The life ends when last seen, as the log says it ended; the days between do not count.",
    ),
    Check(
        "log_unknown",
        "The log names a serial that no snapshot has, or one of two models without saying which.",
        "The entry is not used.",
    ),
)
