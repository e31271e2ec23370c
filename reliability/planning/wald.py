"""Wald's sequential test of an MTBF: the two lines between which a test goes on.

Two MTBFs are told apart, the lower one to be refused, the higher one to be accepted. All times here are test time
of all drives together in multiples of the LOWER MTBF. Whoever plots failures against test time accepts to the
right of one line and refuses above the other.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from reliability.errors import QuestionError


@dataclass(frozen=True, slots=True)
class WaldLines:
    """Accept with r failures at the time `to_accept + slope r`; refuse if the r-th is by `slope r - to_refuse`.

    All three in multiples of the lower MTBF, above 0.
    """

    slope: float
    to_accept: float
    to_refuse: float

    def __post_init__(self) -> None:
        """Refuse lines that do not enclose a test."""
        if not (self.slope > 0 and self.to_accept > 0 and self.to_refuse > 0):
            raise QuestionError(
                f"Lines with slope {self.slope:g}, {self.to_accept:g} to accept and {self.to_refuse:g} to refuse "
                "enclose no test; give three numbers above 0."
            )


def wald_lines(ratio: float, producers_risk: float, consumers_risk: float) -> WaldLines:
    """The lines that keep two risks, nearly.

    ratio           higher MTBF over the lower one, above 1
    producers_risk  that drives of the higher MTBF are refused
    consumers_risk  that drives of the lower MTBF are accepted; the two add up to less than 1

    Both risks hold but for what the test overshoots its lines; where it is cut off, they are those of
    `reliability.planning.sequential`.
    Source: Wald (1947); Epstein & Sobel (1955), Annals of Mathematical Statistics 26, 82-93.

    >>> lines = wald_lines(2, 0.1, 0.1)
    >>> f"{lines.slope:.2f} {lines.to_accept:.2f} {lines.to_refuse:.2f}"
    '1.39 4.39 4.39'
    """
    _check(ratio, producers_risk, consumers_risk)
    each = 1 - 1 / ratio  # by how much the rates differ, in rates of the lower MTBF
    return WaldLines(
        slope=math.log(ratio) / each,
        to_accept=math.log((1 - producers_risk) / consumers_risk) / each,
        to_refuse=math.log((1 - consumers_risk) / producers_risk) / each,
    )


@dataclass(frozen=True, slots=True)
class ExpectedFailures:
    """Mean number of failures until the test ends, for drives of the lower and of the higher MTBF."""

    at_lower: float
    at_higher: float


def expected_failures(ratio: float, producers_risk: float, consumers_risk: float) -> ExpectedFailures:
    """Wald's approximation, without the overshoot, for a test that is not cut off; arguments as above.

    >>> f"{expected_failures(2, 0.1, 0.1).at_lower:.1f} {expected_failures(2, 0.1, 0.1).at_higher:.1f}"
    '9.1 5.7'
    """
    _check(ratio, producers_risk, consumers_risk)
    refuse = math.log((1 - consumers_risk) / producers_risk)  # evidence at which the test ends
    accept = math.log(consumers_risk / (1 - producers_risk))
    mean_at_lower = consumers_risk * accept + (1 - consumers_risk) * refuse
    mean_at_higher = (1 - producers_risk) * accept + producers_risk * refuse
    return ExpectedFailures(  # over the mean evidence of one failure
        at_lower=mean_at_lower / (math.log(ratio) - 1 + 1 / ratio),
        at_higher=mean_at_higher / (math.log(ratio) - ratio + 1),
    )


def _check(ratio: float, producers_risk: float, consumers_risk: float) -> None:
    if not 1 < ratio < math.inf:
        raise QuestionError(
            f"A ratio of {ratio} tells no two MTBFs apart; give the higher over the lower, above 1."
        )
    if not (producers_risk > 0 and consumers_risk > 0 and producers_risk + consumers_risk < 1):
        raise QuestionError(
            f"Risks of {producers_risk} and {consumers_risk} leave nothing to decide; "
            "give two above 0 that add up to less than 1."
        )
