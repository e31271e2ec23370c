"""The small invented fleet of the documents: half a year of 150 drives, as a user might have it.

No chance is in it, so that every number in the documents can be counted here.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from doc_health import write_health

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

FIRST, LAST = date(2026, 1, 1), date(2026, 6, 30)
HEADER = "reading_day;sn;model;poh_minutes;state;room;slot"
TARNS, MARLS = 90, 60

DEAD = {
    "M003": date(2026, 1, 8),
    "M017": date(2026, 3, 2),
    "M018": date(2026, 5, 23),
    "M044": date(2026, 6, 4),
}
GONE = {"T011": date(2026, 4, 20), "M052": date(2026, 5, 8)}  # T011 vanishes, M052 stands in the log

DATASHEETS = """\
[[datasheet]]
model = "TARN T18"
mtbf_hours = 2_500_000
source = "data sheet rev. B"

[[datasheet]]
model = "Marl M6"
afr_percent = 1.2
source = "product page"
"""
REMOVALS = """\
serial,date,outcome,reason
M052,2026-05-09,retired,rising bad sectors
"""


def write_fleet(folder: Path) -> None:
    """Write snapshots, a file a month, the removal log and the datasheets; and the fleet that tells its health."""
    (folder / "snapshots").mkdir()
    for month in range(FIRST.month, LAST.month + 1):
        lines = [HEADER, *(line for day in days() if day.month == month for line in readings(day))]
        file = folder / "snapshots" / f"2026-{month:02}.csv"
        file.write_text("\n".join([*lines, ""]), encoding="utf-8")
    (folder / "removals.csv").write_text(REMOVALS, encoding="utf-8")
    (folder / "datasheets.toml").write_text(DATASHEETS, encoding="utf-8")
    write_health(folder)


def days() -> Iterator[date]:
    return (FIRST + timedelta(days=number) for number in range((LAST - FIRST).days + 1))


def readings(day: date) -> Iterator[str]:
    for number in range(1, TARNS + MARLS + 1):
        serial = f"T{number:03}" if number <= TARNS else f"M{number - TARNS:03}"
        if day > min(DEAD.get(serial, LAST), GONE.get(serial, LAST)):
            continue
        model = "TARN T18" if number <= TARNS else "Marl M6"
        if serial == "T020" and day.month == 1:
            model = "tarn_t18"  # folds to the same model
        minutes = str(1440 * (100 + 7 * number + (day - FIRST).days))
        if (serial, day) == ("T030", date(2026, 3, 15)):
            minutes = "n/a"  # a row to reject
        state = "dead" if DEAD.get(serial) == day else "ok"
        room = "north" if number % 3 else "south"
        yield f"{day:%d.%m.%Y};{serial};{model};{minutes};{state};{room};{number % 24 + 1}"
