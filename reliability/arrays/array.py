"""An array of drives, and what its rebuild takes."""

from __future__ import annotations

import math
from dataclasses import dataclass

from reliability.errors import QuestionError
from reliability.units import BITS_PER_BYTE, BYTES_PER_MB, BYTES_PER_TB, SECONDS_PER_HOUR

MOST_DRIVES = 1000
SHORTEST, LONGEST = 1e-6, 1e9  # hours of a rebuild; what lies beyond is a slip of units


@dataclass(frozen=True, slots=True)
class Array:
    """Drives that hold each other's data, one of them failed and being rebuilt.

    drives       in the array, the failed one included
    parity       drives that may fail without loss: 1 single, 2 double, 3 triple parity; a mirrored pair is 2 drives
                 with a parity of 1
    capacity_tb  of a drive, 10^12 bytes, all of it to rebuild
    mb_per_s     sustained rate of the rebuild, 10^6 bytes a second
    error_rate   unreadable bits a bit read, such as 1e-15; a stated one is a ceiling

    Raises `QuestionError` for what is no such array.

    >>> array = Array(10, 1, capacity_tb=30, mb_per_s=208, error_rate=1e-15)
    >>> f"{array.rebuild_hours:.1f} {array.unreadable:.3f}"
    '40.1 0.885'
    """

    drives: int
    parity: int
    capacity_tb: float
    mb_per_s: float
    error_rate: float

    def __post_init__(self) -> None:
        """Hold the rules of each figure."""
        if not (self.parity >= 1 and self.parity % 1 == 0):
            raise QuestionError(
                f"A parity of {self.parity} leaves nothing to rebuild from; "
                "give 1 for single, 2 for double, 3 for triple parity."
            )
        if not (self.drives > self.parity and self.drives % 1 == 0):
            raise QuestionError(
                f"An array of {self.drives} drives cannot have a parity of {self.parity}; "
                f"give {self.parity + 1} drives or more, or less parity."
            )
        for what, value, unit in (("capacity", self.capacity_tb, "TB"), ("speed", self.mb_per_s, "MB/s")):
            if not 0 < value < math.inf:
                raise QuestionError(f"A {what} of {value} {unit} rebuilds nothing; give a number above 0.")
        if not 0 <= self.error_rate < 1:
            raise QuestionError(
                f"An error rate of {self.error_rate} a bit is no chance; write 1e-15 for one in 10^15, or 0 for none."
            )

        if self.drives > MOST_DRIVES:
            raise QuestionError(
                f"An array of {self.drives} drives is larger than any single group, {MOST_DRIVES:,} at most; "
                "ask for one of the groups it is made of."
            )
        if not (SHORTEST < self.rebuild_hours < LONGEST and self.bits_read < math.inf):
            raise QuestionError(
                f"A capacity of {self.capacity_tb} TB at {self.mb_per_s} MB/s is beyond any drive; check both units."
            )

    @property
    def left(self) -> int:
        """Drives left when one has failed."""
        return self.drives - 1

    @property
    def rebuild_hours(self) -> float:
        """Time to write a whole drive at the sustained rate; a busy array takes longer."""
        return self.capacity_tb * BYTES_PER_TB / (self.mb_per_s * BYTES_PER_MB) / SECONDS_PER_HOUR

    @property
    def bits_read(self) -> float:
        """Bits that a rebuild has to read: of as many whole drives as hold the data."""
        return (self.drives - self.parity) * self.capacity_tb * BYTES_PER_TB * BITS_PER_BYTE

    @property
    def unreadable(self) -> float:
        """Chance that one of those bits or more cannot be read, if errors come one by one.

        They come in clusters, and a stated rate is a ceiling: an upper scenario, not a forecast.

        >>> f"{Array(8, 1, 12, 200, 1e-15).unreadable:.3f}"  # 7 drives of 12 TB to read
        '0.489'
        """
        return -math.expm1(self.bits_read * math.log1p(-self.error_rate))
