"""What a case asks, and what it found: a ratio, and the times and memories that it is made of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from benchmarks.measure import Run


@dataclass(frozen=True, slots=True)
class Goal:
    """One ratio that is to hold.

    ratio  what ours over the peer's is to stay under; None if it is only told
    wide   what it must stay under on any machine, busy or small, or something is broken
    """

    case: int
    step: str
    peer: str
    ratio: float | None = None
    wide: float | None = None

    def of_programs(self, ours: Run, peer: Run, note: str = "") -> Result:
        """Hold whole programs against each other."""
        return self._result(ours, peer, ours.seconds, peer.seconds, note)

    def of_steps(self, ours: Run, peer: Run, note: str = "") -> Result:
        """Hold the steps alone against each other, without the start of the programs."""
        return self._result(ours, peer, ours.step_seconds, peer.step_seconds, note)

    def of_memory(self, ours: Run, megabytes: float) -> Result:
        """Hold the most memory against a number of megabytes."""
        ratio = ours.megabytes / megabytes
        return Result(self, ratio, ours_s=ours.seconds, ours_mb=ours.megabytes, peer_mb=megabytes)

    def not_measured(self, why: str) -> Result:
        """Say why there is no ratio."""
        return Result(self, None, note=f"not measured: {why}")

    def _result(self, ours: Run, peer: Run, ours_s: float, peer_s: float, note: str) -> Result:
        return Result(self, ours_s / peer_s, ours_s, peer_s, ours.megabytes, peer.megabytes, note)


@dataclass(frozen=True, slots=True)
class Result:
    """One measured ratio, or a note that says why there is none."""

    goal: Goal
    ratio: float | None
    ours_s: float | None = None
    peer_s: float | None = None
    ours_mb: float | None = None
    peer_mb: float | None = None
    note: str = ""

    @property
    def holds(self) -> bool | None:
        """Whether the goal is kept; None if there is none, or no ratio."""
        return None if self.ratio is None or self.goal.ratio is None else self.ratio <= self.goal.ratio

    @property
    def broken(self) -> bool:
        """Whether the ratio is so far off that no machine explains it."""
        return self.ratio is not None and self.goal.wide is not None and self.ratio > self.goal.wide

    def payload(self) -> dict[str, object]:
        """Give the row of the JSON output."""
        return {
            "case": self.goal.case,
            "step": self.goal.step,
            "peer": self.goal.peer,
            "ratio": self.ratio,
            "goal": self.goal.ratio,
            "holds": self.holds,
            "ours_s": self.ours_s,
            "peer_s": self.peer_s,
            "ours_mb": self.ours_mb,
            "peer_mb": self.peer_mb,
            "note": self.note,
        }
