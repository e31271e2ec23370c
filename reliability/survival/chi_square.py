"""The tail of the chi-square distribution, and tests that are judged by it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ChiSquareTest:
    """A statistic that is about chi-square with so many degrees of freedom if nothing is the matter."""

    statistic: float
    degrees: int

    @property
    def p_value(self) -> float:
        """Chance of a statistic at least as large if nothing is the matter.

        >>> round(ChiSquareTest(3.841459, 1).p_value, 6)
        0.05
        """
        from scipy.special import gammaincc  # noqa: PLC0415  (fits need none of it, and it is slow to load)

        return float(gammaincc(self.degrees / 2, self.statistic / 2))

    def __str__(self) -> str:
        """Write the statistic with its degrees of freedom; the p-value belongs into a table.

        >>> print(ChiSquareTest(0.049, 1))
        chi-square 0.05 on 1 degree of freedom
        """
        degrees = "1 degree" if self.degrees == 1 else f"{self.degrees} degrees"
        return f"chi-square {self.statistic:.2f} on {degrees} of freedom"
