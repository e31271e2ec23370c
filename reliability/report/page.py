"""Contents to one self-contained HTML page: the same contents give the same bytes, every text is escaped."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from reliability import digits, figures
from reliability.comparer.stated import Verdict
from reliability.report import numbers
from reliability.report.survival import YEARS
from reliability.units import DAYS_PER_YEAR

if TYPE_CHECKING:
    from reliability.report.contents import Contents
    from reliability.report.grids import Estimate, GridRow
    from reliability.report.survival import ModelAgeing

SHAPES = {
    Verdict.WORSE: "▲",
    Verdict.BETTER: "▼",
    Verdict.CONSISTENT: "●",
    Verdict.TOO_LITTLE: "○",
    None: "□",
}

_TEMPLATES = Path(__file__).parent / "templates"


def page(contents: Contents) -> str:
    """Write the report as HTML; it asks for no other file, runs no script and knows no clock."""
    template = _environment().get_template("page.html")
    return template.render(
        contents=contents,
        against=[_against_stated(contents, "wide"), _against_stated(contents, "narrow")],
        ranking_figures=[_ranking(contents, "wide"), _ranking(contents, "narrow")],
        quarter_figures=[
            _by_quarter(contents, place, row) for place, row in enumerate(contents.by_quarter.rows)
        ],
        age_figures=[_by_age(contents, place, row) for place, row in enumerate(contents.by_age.rows)],
        survival_figures=[_survival(place, row) for place, row in enumerate(contents.survival.drawn)],
        incidence_figures=[_incidence(place, row) for place, row in enumerate(contents.survival.drawn)],
    )


def _environment() -> Environment:
    environment = Environment(
        loader=FileSystemLoader(_TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_unbroken,
    )
    environment.filters |= {
        "percent": numbers.percent,
        "limits": numbers.limits,
        "drive_years": numbers.drive_years,
        "p_value": numbers.p_value,
        "chance": numbers.chance,
        "survival": numbers.survival,
        "survival_limits": numbers.survival_limits,
        "in_years": numbers.in_years,
        "estimate_limits": numbers.estimate_limits,
        "day": numbers.day,
        "times": numbers.times,
        "whole": "{:,.0f}".format,
        "counted": digits.counted,
        "years_at_risk": digits.years_at_risk,
        "significant": digits.significant,
    }
    environment.globals |= {
        "shapes": SHAPES,
        "dash": numbers.DASH,
        "days_per_year": DAYS_PER_YEAR,
        "years": YEARS,
    }
    return environment


def _unbroken(value: object) -> object:
    """Keep a number and its sign on one line; drawings, and what is to be copied, are Markup and stay as they are."""
    return value.replace(" %", "\N{NO-BREAK SPACE}%") if type(value) is str else value


def _against_stated(contents: Contents, form: str) -> Markup:
    rows = [
        figures.AgainstStated(
            line.model,
            line.seen.rate,
            line.stated,
            line.verdict,
            None if line.running is None else line.running.interval,
        )
        for line in contents.lines
    ]
    figure = figures.against_stated(
        rows, level=contents.level, ratio=contents.material, names="beside" if form == "wide" else "above"
    )
    description = (
        f"{digits.counted(len(rows), 'model')}, a row each, on a logarithmic scale of failures per 100 "
        "drive-years: the rate, its limits, and the stated rate. The table below holds the numbers."
    )
    title = "Observed rates and their limits against stated rates"
    return Markup(figures.svg(figure, f"against-{form}", title=title, description=description))  # noqa: S704  (it escapes what it is given)


def _ranking(contents: Contents, form: str) -> Markup:
    ranking = contents.side_by_side.ranking
    if not ranking.rows:
        return Markup()
    figure = figures.ranking(
        ranking.rows,
        level=ranking.level,
        together=ranking.together,
        names="beside" if form == "wide" else "above",
    )
    description = f"{ranking.sentence} The table below holds the numbers."
    title = "Models side by side, raw and shrunk rates"
    return Markup(figures.svg(figure, f"ranking-{form}", title=title, description=description))  # noqa: S704  (the same)


def _by_quarter(contents: Contents, place: int, row: GridRow) -> Markup:
    quarters = contents.by_quarter.columns
    labels = [
        f"Q{quarter.number}" + (f"\n{quarter.year}" if quarter.number == 1 or not at else "")
        for at, quarter in enumerate(quarters)
    ]
    panel = figures.rates_by_quarter(
        labels,
        [each.rate for each in row.estimates],
        stated=row.stated,
        level=contents.level,
        ratio=contents.material,
    )
    description = f"In {contents.quarter}: {_in_words(row.estimates[-1])}. The table below holds the numbers."
    title = f"{row.model}: rate by quarter, {quarters[0]} to {quarters[-1]}"
    return Markup(figures.panel_svg(panel, f"quarter-{place}", title=title, description=description))  # noqa: S704  (the same)


def _by_age(contents: Contents, place: int, row: GridRow) -> Markup:
    bands = contents.by_age.columns
    panel = figures.hazard_by_age(
        [(band.from_days, band.to_days) for band in bands],
        [each.rate for each in row.estimates],
        stated=row.stated,
        level=contents.level,
        ratio=contents.material,
    )
    told = [
        f"{band.name} {_in_words(each)}"
        for band, each in zip(bands, row.estimates, strict=True)
        if each.rate.drive_days
    ]
    description = f"By age: {'; '.join(told)}."
    title = f"{row.model}: failure rate by age"
    return Markup(figures.panel_svg(panel, f"age-{place}", title=title, description=description))  # noqa: S704  (the same)


def _survival(place: int, row: ModelAgeing) -> Markup:
    found = row.found
    panel = figures.survival_by_age(found.curve, found.weibull, list(zip(row.ages, row.at_risk, strict=True)))
    description = f"Kaplan-Meier: {found.curve}."
    title = f"{row.model}: survival by age"
    return Markup(figures.panel_svg(panel, f"survival-{place}", title=title, description=description))  # noqa: S704  (the same)


def _incidence(place: int, row: ModelAgeing) -> Markup:
    panel = figures.incidence_by_age(row.found.incidence, row.ages)
    description = f"{row.found.incidence}."
    title = f"{row.model}: what became of the drives by age"
    return Markup(figures.panel_svg(panel, f"incidence-{place}", title=title, description=description))  # noqa: S704  (the same)


def _in_words(estimate: Estimate) -> str:
    if estimate.rate.per_year is None:
        return "no exposure"
    return f"{numbers.percent(estimate.rate.per_year)} ({numbers.limits(estimate.interval)})"
