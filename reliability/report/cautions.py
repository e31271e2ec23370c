"""The cautions that stand in every report, whatever it found."""

from __future__ import annotations

_STATED = (
    "A stated MTBF or annual rate holds for the useful life of a drive, and for the workload, temperature "
    "and power-on hours that its datasheet names. It often counts only the failures that the maker confirms; "
    "drives taken out in the field are more. A gap between the two is no proof that a statement is false."
)
_FLEET = "A rate describes a fleet. It does not predict which drive fails next, nor when any one drive will."
_BACKUP = "A low rate is no substitute for backups, and redundancy is not a backup."
_OBSERVED = (
    "Models differ in age, batch, site and load. What is compared here was observed, not put to the test."
)
_VANISHED = (
    "A drive that vanished counts up to the day it was last seen, and not as failed. "
    "Only records can tell what became of it."
)
_NO_ORDER = (
    "This report is no order to act. Follow the rules that hold where the drives are, "
    "and the judgement of people qualified for the work."
)


def cautions(failed_means: str) -> tuple[str, ...]:
    """Word the cautions.

    failed_means    how the snapshots say that a drive failed, in words
    """
    failure = (
        f"What counts as a failure here: {failed_means}; and what the removal log calls failed. "
        "Another choice changes every number of this report."
    )
    return _STATED, _FLEET, _BACKUP, _OBSERVED, failure, _VANISHED, _NO_ORDER
