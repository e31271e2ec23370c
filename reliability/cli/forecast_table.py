"""How `driveyears forecast` tells people what is to come, and how it did in the past."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reliability.cli.output import out, write_table
from reliability.digits import counted, significant
from reliability.forecast.backtest import calibration

if TYPE_CHECKING:
    from reliability.forecast.backtest import Backtest, Calibration
    from reliability.forecast.model import Forecast
    from reliability.report.forecasts import FleetForecast

FEW_TRIALS = 30  # below which coverage tells gross faults only


def write_forecast(found: FleetForecast) -> None:
    """The table by model, and what must be known with it."""
    service = f"Spares for {100 * found.total.service:g} %"
    level = f"{100 * found.total.interval.level:g} %"
    headings = ("Model", "In service", "Expected", f"Failures ({level})", service, "Method")
    rows = [[name, *_cells(each)] for name, each in found.models.items()]
    if len(rows) > 1:
        rows.append(["All together", *_cells(found.total)])
    write_table(
        f"Failures to come in the {counted(found.days, 'day')} after {found.last_day}",
        [(name, "left" if name in ("Model", "Method") else "right") for name in headings],
        rows,
    )
    for line in found.notes:
        out().print(line, markup=False)


def _cells(found: Forecast) -> list[str]:
    return [
        f"{found.in_service:,}",
        significant(found.expected),
        f"{found.interval.low:,.0f}-{found.interval.high:,.0f}",
        f"{found.spares:,}",
        found.method.in_words,
    ]


def write_backtest(past: Backtest) -> None:
    """Every past quarter, and how often the limits held."""
    if not past.together:
        out().print("No quarter past to try: it takes a whole one with 90 days of data before it.")
        return
    level = past.together[0].forecast.interval.level
    headings = ("Quarter", "In service", "Expected", f"Forecast ({100 * level:g} %)", "Failed", "Limits")
    out().print()
    write_table(
        "Quarters past, each forecast from what was known on the day before it",
        [(name, "left" if name in ("Quarter", "Limits") else "right") for name in headings],
        [
            [
                str(trial.quarter),
                *_cells(trial.forecast)[:3],
                f"{trial.observed:,}",
                "held" if trial.place == "inside" else f"failures {trial.place} them",
            ]
            for trial in past.together
        ],
    )
    _write_calibration(past, level)


def _write_calibration(past: Backtest, level: float) -> None:
    """How often the limits held, and where in what was forecast the failures lay."""
    headings = ("Forecasts", "Number", "Limits held", "Below", "Above", "Share that holds", "Spares enough")
    found = {
        name: each
        for name, trials in (("All together", past.together), ("Model by model", past.models))
        if (each := calibration(trials, level))
    }
    out().print()
    write_table(
        "How they did",
        [
            *((name, "left" if name == "Forecasts" else "right") for name in headings),
            ("In each fourth of what was forecast, from low to high", "right"),
        ],
        [[name, *_calibration(each)] for name, each in found.items()],
    )
    out().print(
        f"Of right forecasts the limits hold in {100 * level:g} % or more, and about a quarter of them see failures in "
        "each fourth of what was forecast. Forecasts of one model share its past, those of one quarter its conditions: "
        "they are fewer trials than they seem. Drives retired or vanished in a quarter could not be seen to fail."
    )
    few = [name.lower() for name, each in found.items() if each.trials < FEW_TRIALS]
    if few:
        out().print(f"Fewer than {FEW_TRIALS} forecasts tell gross faults only: {', '.join(few)}.")


def _calibration(found: Calibration) -> list[str]:
    low, high = (f"{100 * limit:.0f}" for limit in (found.share.low, found.share.high))
    return [
        f"{found.trials:,}",
        f"{found.inside:,}",
        f"{found.below:,}",
        f"{found.above:,}",
        f"{100 * found.inside / found.trials:.0f} % ({low}-{high})",
        f"{found.spares:,}",
        f"{', '.join(f'{100 * part:.0f}' for part in found.fourths)} %",
    ]
