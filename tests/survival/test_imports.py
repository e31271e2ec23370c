"""The mathematics of survival loads arrays and nothing slower."""

from __future__ import annotations

from pathlib import Path

from fresh_python import fresh_python

import reliability.survival

SLOW = {"pandas", "scipy", "matplotlib", "lifelines", "statsmodels", "duckdb"}


def test_no_module_of_it_loads_a_frame_a_fitter_or_an_engine(tmp_path: Path) -> None:
    folder = Path(reliability.survival.__file__).parent
    names = sorted(file.stem for file in folder.glob("*.py") if file.stem != "__init__")
    assert len(names) > 10
    code = "\n".join(f"import reliability.survival.{name}" for name in names)
    told = fresh_python("-c", f"{code}\nimport sys; print('loaded:', *sys.modules)", folder=tmp_path)
    loaded = set(told.rpartition("loaded:")[2].split())
    assert "numpy" in loaded
    assert loaded & SLOW == set()
