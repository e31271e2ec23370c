"""What a life is: the ages between which a drive was at risk, and how it ended.

A life of age `entry` at the start of its first day and `exit` at the end of its last is at risk at age t if
entry < t <= exit. One whose entry is not before its exit would never be at risk, yet its failure would count.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from reliability.errors import InvalidLife

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

OUTCOMES = ("failed", "retired", "vanished", "interrupted", "in service")
_NAMED = 3  # lives that a message names; the rest it counts


def ages_in_days(ages: ArrayLike) -> NDArray[np.float64]:
    """Ages as numbers of days; None and nan are missing, and times are refused: their numbers may be nanoseconds.

    >>> ages_in_days([0, 5.5, None])
    array([0. , 5.5, nan])
    """
    given = np.asarray(ages)
    if given.dtype.kind in "mM":
        raise InvalidLife(
            "Ages are days as numbers, and these are times; give the days of them, as .dt.days."
        )
    return given.astype(np.float64)


def checked_lives(
    entry: ArrayLike, exit_: ArrayLike, outcome: ArrayLike, serials: ArrayLike | None = None
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.str_]]:
    """Lives as columns of one length, or `InvalidLife` that names those which cannot be.

    entry, exit_  ages in days; None and nan are missing
    outcome       one of `OUTCOMES` for each life
    serials       what a message calls the lives; without them their rows, counted from 1

    >>> checked_lives([0, 5], [10, 6], ["failed", "retired"])[1]
    array([10.,  6.])
    """
    entries, exits = ages_in_days(entry), ages_in_days(exit_)
    outcomes = np.asarray(outcome).astype(np.str_)
    names = np.asarray(serials) if serials is not None else _rows(entries.size)
    sizes = [column.size for column in (entries, exits, outcomes, names)]
    if len(set(sizes)) > 1:
        raise InvalidLife(
            "Entries, exits, outcomes and serials are {}, {}, {} and {} in number; "
            "give one of each for every life.".format(*sizes)
        )
    fine = (entries >= 0) & (entries < exits) & np.isfinite(exits) & np.isin(outcomes, OUTCOMES)
    wrong = np.flatnonzero(~fine)
    if wrong.size:
        told = ", ".join(
            f"{names[i]} ({_age(entries[i])} to {_age(exits[i])}, {outcomes[i]})" for i in wrong[:_NAMED]
        )
        them = "them" if wrong.size > 1 else "it"
        more = f" and {wrong.size - _NAMED} more" if wrong.size > _NAMED else ""
        raise InvalidLife(
            f"{wrong.size} of {entries.size} lives cannot be: {told}{more}. "
            "A life has ages in days, 0 <= entry < exit, "
            f"and ends {', '.join(OUTCOMES[:-1])} or {OUTCOMES[-1]}; mend {them} or leave {them} out."
        )
    return entries, exits, outcomes


def _rows(lives: int) -> NDArray[np.str_]:
    return np.array([f"row {row}" for row in range(1, lives + 1)], dtype=np.str_)


def _age(days: float) -> str:
    return "missing" if np.isnan(days) else f"{days:.12g}"
