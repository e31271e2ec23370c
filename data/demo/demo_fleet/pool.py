"""The drives that faults are planted in: each drive gets one fault at most, so that faults cannot meet."""

from __future__ import annotations

from typing import TYPE_CHECKING

from demo_fleet.chance import below, stream
from demo_fleet.days import LAST

if TYPE_CHECKING:
    from collections.abc import Callable

    from demo_fleet.drive import Drive, LogEntry


class Pool:
    """The fleet while faults are planted, and the removal log that goes with it."""

    def __init__(self, drives: dict[str, Drive]) -> None:
        self.drives = drives
        self.log: list[LogEntry] = []
        self.clean = sorted(drives)

    def take(self, purpose: str, count: int, fits: Callable[[Drive], bool]) -> list[Drive]:
        """Take clean drives that fit, by chance; they are clean no more.

        Raises
        ------
        ValueError
            When too few fit; the plan is then wrong.
        """
        chance = stream(f"take {purpose}")
        fitting = [serial for serial in self.clean if fits(self.drives[serial])]
        if len(fitting) < count:
            message = f"{purpose}: {count} drives asked for, {len(fitting)} fit"
            raise ValueError(message)
        taken = [fitting.pop(below(chance, len(fitting))) for _ in range(count)]
        self.clean = [serial for serial in self.clean if serial not in set(taken)]
        return [self.drives[serial] for serial in taken]

    def put(self, drive: Drive) -> None:
        """Put a drive back as planted."""
        self.drives[drive.serial] = drive


def serves(drive: Drive, days: int = 400) -> bool:
    """Tell whether a drive is in service to the end of the data, for so many days at least."""
    return drive.end == "in service" and drive.last == LAST and drive.last - drive.first >= days


def fails_late(drive: Drive, days: int = 120) -> bool:
    """Tell whether a drive fails, after so many days at least."""
    return drive.end == "failed" and drive.last - drive.first >= days
