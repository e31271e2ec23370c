"""What the page says of the whole way, from files to verdicts."""

from __future__ import annotations

from dirty.plans import MODELS

from validation.coverage.section import told
from validation.pipeline.calibration import histories, studies
from validation.pipeline.fates import RATE, SIZE
from validation.pipeline.judged import DAYS_BETWEEN_LOOKS

FLEETS = 200


def section() -> str:
    """All that was asked of so many fleets."""
    found = histories(FLEETS)
    agree = sum(each.line.seen.rate.failures == each.told for each in found)
    opening = (
        f"{FLEETS} dirty fleets of {len(MODELS)} models with {SIZE.drives} drives in all, over {SIZE.days} days, "
        "written to files, loaded and compared. The dirt: duplicates, gaps, outages, moves, misspelt models, broken "
        "rows, counters that fall back, drives that vanish in health. Every drive fails at a rate of "
        f"{RATE:g} a year, which is what the datasheets state, so a verdict of worse is false. A look is taken every "
        f"{DAYS_BETWEEN_LOOKS} days. In {agree} of {len(found)} histories of a model the failures counted are those "
        "that were told; an entry of the log that is dated after the last day collected waits for it."
    )
    return f"{opening}\n\n{told(studies(found))}"
