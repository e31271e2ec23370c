"""What the tables call each signal and its states."""

from __future__ import annotations

from typing import NamedTuple

from reliability.loaders.signals import EXPOSED, NOT_RATED, NOT_REPORTED, UNEXPOSED


class Words(NamedTuple):
    """A signal's name, and its two states."""

    name: str
    unexposed: str = "zero"
    exposed: str = "above zero"

    def state(self, state: str) -> str:
        """A state in words."""
        told = {NOT_REPORTED: "not reported", NOT_RATED: "no rating stated"}
        return told.get(state) or {UNEXPOSED: self.unexposed, EXPOSED: self.exposed}[state]


SIGNAL_WORDS = {
    "any_error_counter": Words("Any error counter", "all zero", "one above zero"),
    "reallocated_sectors": Words("Reallocated sectors"),
    "pending_sectors": Words("Pending sectors"),
    "offline_uncorrectable": Words("Offline uncorrectable"),
    "reported_uncorrectable": Words("Reported uncorrectable"),
    "command_timeouts": Words("Command timeouts"),
    "interface_crc_errors": Words("Interface CRC errors"),
    "media_errors": Words("Media errors"),
    "percentage_used": Words("Endurance used", "below 100 %", "100 % or more"),
    "available_spare": Words("Spare capacity", "100 %", "below 100 %"),
    "temperature": Words("Temperature", "within its rating", "above its rating"),
    "workload": Words("Workload", "within its rating", "above its rating"),
    "either_rating": Words("Temperature or workload", "within its ratings", "above a rating"),
}
