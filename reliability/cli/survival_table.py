"""How `driveyears survival` tells people how a model ages."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reliability.cli.output import out, write_table
from reliability.cli.words import exposure, limits, percent_or_dash
from reliability.comparer.vanished import taken_as_censored
from reliability.curve import share
from reliability.digits import counted
from reliability.units import DAYS_PER_YEAR

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from reliability.survival.ageing import Ageing
    from reliability.survival.hazard import BandRate
    from reliability.survival.kaplan_meier import SurvivalAt

LEVEL = 0.95
CAUTION = (
    "Survival is what would be if nothing but failure took drives away; the shares that left say what was. A fitted "
    "line speaks of the ages at which drives were seen, and predicts no single drive."
)


def write_models(found: Iterable[tuple[str, int, Ageing]], vanished: Mapping[str, int]) -> None:
    """Each model: its survival, what became of its drives, the rate by age, and the Weibull life in words.

    Below them stands of which models how many drives vanished.
    """
    for model, drives, ageing in found:
        out().print(
            f"{model}: {counted(drives, 'drive')}, {counted(ageing.table.failures, 'failure')} at a known age",
            markup=False,
        )
        for note in ageing.curve.notes:
            out().print(f"    {note}", markup=False)
        _write_survival(ageing)
        _write_hazard(ageing)
        for line in _lines(ageing):
            out().print(f"    {line}", markup=False)
        out().print()
    if (censored := taken_as_censored(vanished)) is not None:
        out().print(censored, markup=False)
    out().print(CAUTION)


def _write_survival(ageing: Ageing) -> None:
    if not ageing.at:
        return
    given = f", {ageing.curve.label[len('Survival ') :]}" if ageing.curve.from_age else ""
    columns = [("Age", "left"), ("At risk", "right"), (f"Survival (95 %){given}", "right")]
    write_table("Survival", columns, [[_age(at.age_days), f"{at.at_risk:,}", _share(at)] for at in ageing.at])


def _age(days: float) -> str:
    years, rest = divmod(days, DAYS_PER_YEAR)
    return counted(int(years), "year") if years and not rest else counted(int(days), "day")


def _share(at: SurvivalAt) -> str:
    if at.survival is None:
        return "nothing known"
    told = f"{share(at.survival)} %"
    return told if at.low is None or at.high is None else f"{told} ({share(at.low, 3)}-{share(at.high, 3)})"


def _write_hazard(ageing: Ageing) -> None:
    seen = [band for band in ageing.hazard.bands if band.rate.drive_days]
    if seen:
        headings = ("Age", "Failures", "Drive-years", "Rate per year (95 %)")
        columns = [(name, "left" if name == "Age" else "right") for name in headings]
        write_table("Rate by age", columns, [_band(band) for band in seen])


def _band(band: BandRate) -> list[str]:
    rate = band.rate
    told = f"{percent_or_dash(rate.per_year)} {limits(rate, LEVEL)}"
    return [band.name, f"{rate.failures:,}", exposure(rate), told]


def _lines(ageing: Ageing) -> list[str]:
    lines = [str(ageing.incidence)]
    if ageing.refused is not None:
        lines.append(ageing.refused.sentence)
    if ageing.weibull is not None:
        lines.append(str(ageing.weibull))
    if ageing.fit is not None:
        lines.append(str(ageing.fit))
    return lines
