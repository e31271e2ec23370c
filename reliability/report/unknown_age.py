"""What goes by age leaves out, and when that is so much that it may mislead."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from reliability import digits

if TYPE_CHECKING:
    from reliability.rate import Rate

WARN_ABOVE = 0.1  # share of the failures without a known age from which what needs the age carries a warning


@dataclass(frozen=True, slots=True)
class UnknownAge:
    """Drives that whatever goes by age leaves out."""

    drives: int
    rate: Rate
    failures_of_all: int

    @property
    def warns(self) -> bool:
        """Whether so many failures lack an age that what remains may mislead."""
        return self.rate.failures > WARN_ABOVE * self.failures_of_all

    @property
    def sentences(self) -> tuple[str, ...]:
        """What is left out, and a warning if that is much."""
        if not self.drives:
            return ("The age of every drive is known: nothing is left out.",)
        failures = digits.counted(self.rate.failures, "failure")
        left_out = (
            f"The age of {digits.counted(self.drives, 'drive')} is not known: their "
            f"{digits.years_at_risk(self.rate.drive_years)} and {failures} are left out of the rates by age, "
            "of survival and of rates at common ages, and of nothing else."
        )
        if not self.warns:
            return (left_out,)
        share = f"{100 * self.rate.failures / self.failures_of_all:.0f} %"
        return (
            left_out,
            f"These are {share} of all failures, so what goes by age may mislead: read it with caution.",
        )
