"""The table of warnings: before how many failures a signal warned, how long before, and who serves with one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reliability.cli.output import out, write_table
from reliability.digits import LIMIT_DIGITS, percent

if TYPE_CHECKING:
    from collections.abc import Sequence

    from reliability.signals.warning import LeadTime, Share, Warnings

NO_LEAD = ("-", "-", "-")


def write_warnings(found: Sequence[tuple[str, Warnings]]) -> None:
    """A row a signal, by the name that the tables give it; nothing if there is none."""
    if not found:
        return
    headings = ("Failures warned of", "Share (95 %)", "Days before, median", "Middle half", "Least to most")
    write_table(
        "Warnings before failures",
        [("Signal", "left"), *((name, "right") for name in (*headings, "Drives in service with it"))],
        [
            [
                name,
                f"{told.failures.count:,} of {told.failures.of:,}",
                _share(told.failures),
                *(NO_LEAD if told.lead_time is None else _lead(told.lead_time)),
                _serving(told.in_service),
            ]
            for name, told in found
        ],
    )
    out().print(WARNINGS_MEAN)


def _share(failures: Share) -> str:
    if failures.value is None or failures.interval is None:
        return "-"
    low, high = (percent(limit, LIMIT_DIGITS) for limit in (failures.interval.low, failures.interval.high))
    return f"{percent(failures.value)} % ({low}-{high})"


def _lead(lead: LeadTime) -> tuple[str, str, str]:
    return (
        f"{lead.median:,.0f}",
        f"{lead.lower_quartile:,.0f} to {lead.upper_quartile:,.0f}",
        f"{lead.least:,.0f} to {lead.most:,.0f}",
    )


def _serving(serving: Share) -> str:
    counts = f"{serving.count:,} of {serving.of:,}"
    return f"{counts}, {percent(serving.value)} %" if serving.value else counts


WARNINGS_MEAN = (
    "Failures warned of: a warning before the day of the failure, of the failed drives that had reported the counter. "
    "Drives can serve on with a warning and fail without one: this predicts no single drive."
)
