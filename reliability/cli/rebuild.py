"""`driveyears rebuild`: the risk of an array while it rebuilds a drive, and within some years."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated

from cyclopts import Parameter

from reliability.arrays.array import Array
from reliability.arrays.chain import loss_within
from reliability.arrays.rebuild import MULTIPLIERS, RebuildRisk, rebuild_risk
from reliability.cli.chances import chance_in_words
from reliability.cli.options import DEFAULT_STORE, Format, StoreFolder
from reliability.cli.output import out, write_csv, write_json, write_table
from reliability.cli.rate_asked import RateAsked, rate_asked
from reliability.cli.whole import whole
from reliability.digits import percent, significant
from reliability.errors import QuestionError

PARITIES = {1: "single", 2: "double", 3: "triple"}


@dataclass(frozen=True, slots=True)
class _At:
    """What an array risks at one rate per drive-year."""

    rate: float
    risk: RebuildRisk
    in_years: float


def rebuild(  # noqa: PLR0913  (each is an option)
    *,
    drives: Annotated[int, Parameter(converter=whole, help="drives in the array, the failed one included")],
    parity: Annotated[
        int,
        Parameter(converter=whole, help="drives that may fail without loss: 1 single, 2 double, 3 triple"),
    ],
    capacity_tb: Annotated[float, Parameter(help="capacity of a drive, 10^12 bytes")],
    mb_per_s: Annotated[float, Parameter(help="sustained rate of the rebuild, 10^6 bytes a second")],
    error_rate: Annotated[float, Parameter(help="unreadable bits a bit read, such as 1e-15")],
    afr_percent: Annotated[float | None, Parameter(help="AFR of the drives, percent a year")] = None,
    model: Annotated[
        str | None, Parameter(help="take the rate, with its interval, of this model in the store")
    ] = None,
    years: Annotated[float, Parameter(help="time for which the loss of data is told too")] = 1.0,
    store: StoreFolder = DEFAULT_STORE,
    shown_as: Format = "table",
) -> None:
    """Risk of losing data while an array rebuilds a drive, and within some years."""
    array = Array(drives, parity, capacity_tb, mb_per_s, error_rate)
    if not 0 < years < math.inf:
        raise QuestionError(f"--years {years} is no time to look ahead; give a number above 0.")
    asked = rate_asked(afr_percent, model, store)

    def at(rate: float) -> _At:
        return _At(rate, rebuild_risk(array, rate), loss_within(array, rate, years))

    times = {number: at(number * asked.per_year) for number in MULTIPLIERS}
    low, high = at(asked.low), at(asked.high)
    rows: list[dict[str, object]] = [
        {"times": number, "loss": each.risk.loss, "loss_in_years": each.in_years}
        for number, each in times.items()
    ]
    if shown_as == "json":
        base = times[1]
        write_json(
            {
                "rebuild_hours": array.rebuild_hours,
                "another_failure": base.risk.another_failure,
                "unreadable": base.risk.unreadable,
                "loss": base.risk.loss,
                "loss_low": low.risk.loss,
                "loss_high": high.risk.loss,
                "multipliers": rows,
                "afr": asked.per_year,
                "afr_low": asked.low,
                "afr_high": asked.high,
                "years": years,
                "loss_in_years": base.in_years,
                "loss_in_years_low": low.in_years,
                "loss_in_years_high": high.in_years,
            }
        )
    elif shown_as == "csv":
        write_csv(rows, list(rows[0]))
    else:
        _write_table(array, asked, years, {**_named(times), **({} if asked.exact else _limits(low, high))})


def _named(times: dict[int, _At]) -> dict[str, _At]:
    return {"the rate" if number == 1 else f"{number} times it": each for number, each in times.items()}


def _limits(low: _At, high: _At) -> dict[str, _At]:
    return {"its lower limit": low, "its upper limit": high}


def _write_table(array: Array, asked: RateAsked, years: float, rows: dict[str, _At]) -> None:
    kind = PARITIES.get(array.parity, f"{array.parity}-fold")
    hours = significant(array.rebuild_hours)
    span = "1 year" if years == 1 else f"{years:g} years"
    headings = (
        "At",
        "AFR",
        "Another failure",
        "Unreadable sector",
        "Loss in a rebuild",
        f"Loss within {span}",
    )
    write_table(
        f"Array of {array.drives} drives of {array.capacity_tb:g} TB, {kind} parity: a rebuild takes {hours} hours",
        [(name, "left" if name == "At" else "right") for name in headings],
        [
            [
                name,
                f"{percent(each.rate)} %",
                chance_in_words(each.risk.another_failure),
                chance_in_words(each.risk.unreadable),
                chance_in_words(each.risk.loss),
                chance_in_words(each.in_years),
            ]
            for name, each in rows.items()
        ],
    )
    for line in (*asked.told, *CAUTIONS):
        out().print(line, markup=False)


CAUTIONS = (
    (
        "The drives are taken to fail independently. Drives of one batch, shared heat and load, and the strain of "
        "the rebuild itself raise the risk: that is what 3 and 10 times the rate are for."
    ),
    (
        "A stated error rate is a ceiling, and errors come in clusters: the unreadable sector is an upper scenario, "
        "no forecast."
    ),
    (
        "The rebuild is taken to run at full speed from the moment a drive fails. Each hour that it waits for a new "
        "drive or runs slower adds to the risk."
    ),
    "Redundancy is no backup: it does not help against deletion, fire, theft or a fault of the array itself.",
)
