"""What the page says of laws: which estimator keeps which, its plain twin, and who else agrees with it."""

from __future__ import annotations

from validation.laws.estimators import ESTIMATORS
from validation.laws.laws import LAWS
from validation.markdown import table

TITLES = {
    "drives": "Order of drives",
    "groups": "Order of groups",
    "cut": "Life cut in two",
    "later": "All older",
    "unit": "Unit of time",
    "twice": "Every drive twice",
}


def section() -> str:
    """The laws in words, and a table of who keeps them."""
    meanings = "\n".join(f"- {TITLES[law.name]}: {law.meaning}." for law in LAWS)
    headings = ("Estimate", *(TITLES[law.name] for law in LAWS), "Plain twin", "Agrees with")
    rows = [
        [
            each.name,
            *("yes" if law.name in each.laws else "-" for law in LAWS),
            each.twin.partition("::")[0].rpartition("/")[2],
            each.outside,
        ]
        for each in ESTIMATORS
    ]
    return (
        f"Tried on fleets that chance makes up, small and awkward ones:\n\n{meanings}\n\n"
        f"{table(headings, rows)}\n\n"
        "A dash: it cannot hold. What depends on age changes when all drives are older; a ratio turns over with its "
        "groups; shrinkage and the running comparison weigh more drives against what they began with. The plain twin "
        "is the test that computes the same in a second way, straight from its definition."
    )
