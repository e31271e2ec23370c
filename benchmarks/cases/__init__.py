"""The cases: what is measured against what, and the ratio that is to hold."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchmarks.cases.forecasts import bootstrap
from benchmarks.cases.loading import load, memory
from benchmarks.cases.models import models_at_once
from benchmarks.cases.new_day import new_day
from benchmarks.cases.page import quarterly_report
from benchmarks.cases.reducing import lives
from benchmarks.cases.start import start

if TYPE_CHECKING:
    from collections.abc import Callable

    from benchmarks.place import Place
    from benchmarks.result import Result

CASES: dict[int, Callable[[Place], list[Result]]] = {
    1: load,
    2: lives,
    3: new_day,
    4: models_at_once,
    5: memory,
    6: quarterly_report,
    7: start,
    8: bootstrap,
}
