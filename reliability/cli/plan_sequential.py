"""What `driveyears plan` says of tests that end as soon as they can: the two lines, and what they cost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from reliability.cli.chances import chance_in_words
from reliability.cli.output import out, write_table
from reliability.digits import counted, percent, years_at_risk
from reliability.planning.cut_off import fixed_plan, sequential_plan
from reliability.planning.fixed_length import FixedPlan
from reliability.planning.sequential import SequentialPlan


@dataclass(frozen=True, slots=True)
class SequentialTest:
    """The stated rate against a multiple of it: plans in multiples of the MTBF of that rate, told in drive-years."""

    stated: float
    ratio: float
    plan: SequentialPlan
    fixed: FixedPlan

    @property
    def unit(self) -> float:
        """Drive-years in which one failure is expected at the higher rate."""
        return 1 / (self.ratio * self.stated)

    def steps(self) -> list[tuple[int, float | None, float | None]]:
        """For each number of failures: the drive-years up to which they refuse, and those at which they accept."""
        refuse = [self.unit * time if time > 0 else None for time in self.plan.refuse_times()]
        accept: list[float | None] = [self.unit * time for time in self.plan.accept_times()]
        return list(zip(range(len(refuse)), refuse, [*accept, None], strict=True))

    def row(self) -> dict[str, object]:
        """As JSON has it."""
        good, bad = self.plan.operating(self.ratio), self.plan.operating(1)
        return {
            "times": self.ratio,
            "steps": [
                {"failures": failures, "refuse_by_drive_years": refuse, "accept_at_drive_years": accept}
                for failures, refuse, accept in self.steps()
            ],
            "longest_drive_years": self.unit * self.plan.longest,
            "producers_risk": good.refused,
            "consumers_risk": bad.accepted,
            "mean_drive_years_as_stated": self.unit * good.mean_length,
            "mean_drive_years_at_times": self.unit * bad.mean_length,
            "fixed": {
                "drive_years": self.unit * self.fixed.length,
                "failures_allowed": self.fixed.at_most,
                "producers_risk": self.fixed.chance_to_refuse(self.ratio),
                "consumers_risk": self.fixed.chance_to_accept(1),
            },
        }

    def write(self) -> None:
        """As people read it."""
        write_table(
            f"Sequential test of the stated {percent(self.stated)} % against {self.ratio:g} times that",
            [
                ("Failures", "right"),
                ("Refuse up to, drive-years", "right"),
                ("Accept at, drive-years", "right"),
            ],
            [[f"{failures:,}", *map(_years, times)] for failures, *times in self.steps()],
        )
        for sentence in self._sentences():
            out().print(sentence, markup=False)

    def _sentences(self) -> list[str]:
        good, bad = self.plan.operating(self.ratio), self.plan.operating(1)
        fixed = chance_in_words(self.fixed.chance_to_refuse(self.ratio))
        fixed += f" and {chance_in_words(self.fixed.chance_to_accept(1))}"
        return [
            "Refuse if a failure comes by the time in its row; accept when the time in the row of those so far is up.",
            (
                f"At the stated rate it refuses with a chance of {chance_in_words(good.refused)}, "
                f"and takes {self._told(good.mean_length)} on average."
            ),
            (
                f"At {self.ratio:g} times that it accepts with a chance of {chance_in_words(bad.accepted)}, "
                f"and takes {self._told(bad.mean_length)} on average."
            ),
            (
                f"A test of fixed length takes {self._told(self.fixed.length)} and accepts with up to "
                f"{counted(self.fixed.at_most, 'failure')}; its chances are {fixed}."
            ),
        ]

    def _told(self, length: float) -> str:
        return years_at_risk(self.unit * length)


def sequential_test(stated: float, ratio: float, risks: Sequence[float]) -> SequentialTest:
    """Plan it; `risks` are the producer's and the consumer's, as chances."""
    producers, consumers = risks
    return SequentialTest(
        stated, ratio, sequential_plan(ratio, producers, consumers), fixed_plan(ratio, producers, consumers)
    )


def _years(drive_years: float | None) -> str:
    return "-" if drive_years is None else years_at_risk(drive_years).split()[0]
