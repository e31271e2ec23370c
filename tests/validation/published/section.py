"""What the page says of published values: a table a field, and what is left out."""

from __future__ import annotations

from published_values import GROUPS

from validation.markdown import table
from validation.published.compared import ROUNDING, Compared, compared, left_out

TITLES = {
    "exact_poisson_limits": "Exact limits of a count",
    "chi_square_mtbf_limits": "Limits of an MTBF",
    "mtbf_afr": "MTBF and annualised rate",
    "rate_vs_stated": "Observed against stated",
    "demonstration_sample_size": "Demonstration tests",
    "kaplan_meier": "Kaplan-Meier",
    "left_truncated_km": "Survival with late entry",
    "nelson_aalen": "Integrated hazard",
    "competing_risks": "Cumulative incidence",
    "weibull_ml": "Weibull fits",
    "trend_tests": "Repairs of one system",
    "rate_ratio": "Ratio of two rates",
    "poisson_regression": "Poisson regression",
    "sequential_tests": "Sequential tests",
    "prediction_intervals": "Failures to come",
    "spares": "Spares",
    "array_rebuild_risk": "Redundant arrays",
}
HEADINGS = ("Check", "Source", "Values", "Printed", "Theirs", "Ours", "Apart", "Agree")
NUMBERS = ("Values", "Printed", "Theirs", "Ours", "Apart")


def section() -> str:
    """All fields, one after the other."""
    found = {group: compared(group) for group in GROUPS}
    entries = [each for rows in found.values() for each in rows]
    without = sum(len(left_out(group)) for group in GROUPS)
    opening = (
        f"{len(entries)} of {len(entries) + without} entries, {sum(each.values for each in entries)} values in all; "
        f"{sum(each.within for each in entries)} entries agree within their tolerance."
    )
    return "\n\n".join([opening, *(_field(group, rows) for group, rows in found.items())])


def _field(group: str, rows: list[Compared]) -> str:
    parts = [f"### {TITLES[group]}"]
    if rows:
        parts.append(table(HEADINGS, map(_row, rows), NUMBERS))
    if reasons := left_out(group):
        parts.append("Left out:")
        parts.append("\n".join(f"- {what}. {reason}" for what, reason in reasons.items()))
    return "\n\n".join(parts)


def _row(each: Compared) -> list[str]:
    apart = "< 1e-9" if each.apart <= ROUNDING else f"{each.apart:.0e}".replace("e-0", "e-")
    agree = "yes" if each.within else "NO"
    numbers = [f"{value:.7g}" for value in (each.theirs, each.ours)]
    return [each.what, each.source, f"{each.values}", each.printed or "", *numbers, apart, agree]
