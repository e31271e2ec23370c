"""The demonstration data hold what their README, their schemas and their truth say."""

from __future__ import annotations

import csv
import gzip
import io
import json
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path
from typing import Any

import pyarrow.parquet as pq
import pytest
from scipy.stats import chi2

DEMO = Path(__file__).parents[1] / "data" / "demo"
BROKEN = DEMO / "house" / "house-2024-06-copy.csv.gz"
TRUTH: dict[str, Any] = json.loads((DEMO / "truth.json").read_text(encoding="utf-8"))
CELLS: dict[str, dict[str, dict[str, int]]] = TRUTH["cells"]
GZIPPED = sorted(path for path in DEMO.glob("house/*.csv.gz") if path != BROKEN)
PARQUET = sorted(DEMO.glob("house/*.parquet"))
ZIPPED = sorted(DEMO.glob("lantern/*.zip"))


def texts(folder: Path) -> dict[str, str]:
    """Return every CSV of a folder as text, by its name in the truth."""
    found = {
        f"house/{path.name}": gzip.decompress((folder / "house" / path.name).read_bytes()).decode()
        for path in GZIPPED
    }
    for path in ZIPPED:
        with zipfile.ZipFile(folder / "lantern" / path.name) as archive:
            for member in archive.namelist():
                found[f"lantern/{path.name}/{member}"] = archive.read(member).decode("latin-1")
    return found


def records(name: str, text: str) -> list[list[str]]:
    """Return the records of a CSV, its header first, as Python's own csv module reads them."""
    return list(csv.reader(io.StringIO(text), delimiter=";" if name.startswith("lantern") else ","))


def fields(schema: str) -> list[dict[str, Any]]:
    held: list[dict[str, Any]] = json.loads((DEMO / schema).read_text(encoding="utf-8"))["fields"]
    return held


def test_the_generator_makes_the_committed_contents_again(tmp_path: Path) -> None:
    subprocess.run([sys.executable, str(DEMO / "generate.py"), str(tmp_path)], check=True)  # noqa: S603  (our script)
    for name in (
        "removals.csv",
        "truth.json",
        "house.schema.json",
        "lantern.schema.json",
        "removals.schema.json",
    ):
        assert (tmp_path / name).read_bytes() == (DEMO / name).read_bytes(), name
    assert texts(tmp_path) == texts(DEMO)
    for path in PARQUET:
        assert pq.read_table(tmp_path / "house" / path.name).equals(pq.read_table(path)), path.name
    written = {path.name for folder in ("house", "lantern") for path in (tmp_path / folder).iterdir()}
    assert written == {path.name for path in (*GZIPPED, *PARQUET, *ZIPPED, BROKEN)}


def test_all_of_it_stays_under_five_megabytes() -> None:
    data = [path for path in DEMO.rglob("*") if path.is_file() and "__pycache__" not in path.parts]
    assert len(data) > 40
    assert sum(path.stat().st_size for path in data) < 5_000_000


def test_the_broken_copy_cannot_be_read() -> None:
    with pytest.raises(EOFError):
        gzip.decompress(BROKEN.read_bytes())


def test_every_column_of_the_house_is_in_its_schema_for_just_its_months() -> None:
    headers = {
        name.split("house-")[1][:7]: records(name, text)[0]
        for name, text in texts(DEMO).items()
        if "house-" in name
    }
    for path in PARQUET:
        year, quarter = path.stem.removeprefix("house-").split("Q")
        headers[f"{year}-{3 * int(quarter):02d}"] = pq.read_schema(path).names
    assert len(headers) == 13
    for month, header in headers.items():
        assert set(header) == {
            f["name"] for f in fields("house.schema.json") if f["since"] <= month <= f["until"]
        }


def test_every_column_of_the_lantern_is_in_its_schema_and_its_mapping() -> None:
    lantern = fields("lantern.schema.json")
    for name, text in texts(DEMO).items():
        if name.startswith("lantern"):
            month = f"{name[-8:-4]}-{name[-11:-9]}"
            assert records(name, text)[0] == [f["name"] for f in lantern if f["since"] <= month]
    mapping = tomllib.loads((DEMO / "mapping.toml").read_text(encoding="utf-8"))
    mapped = {
        ours: theirs if isinstance(theirs, str) else theirs["column"]
        for ours, theirs in mapping["columns"].items()
    }
    mapped |= {"failed": mapping["failed"]["column"], "firmware": mapping["extra"]["columns"][0]}
    assert mapped == {f["ours"]: f["name"] for f in lantern}


def test_the_removal_log_keeps_its_schema() -> None:
    header, *entries = records("removals.csv", (DEMO / "removals.csv").read_text(encoding="utf-8"))
    held = fields("removals.schema.json")
    assert header == [field["name"] for field in held]
    assert {entry[2] for entry in entries} == set(held[2]["constraints"]["enum"])


@pytest.mark.parametrize("schema", ["house", "lantern", "removals"])
def test_every_field_is_explained_and_every_measure_has_a_unit(schema: str) -> None:
    for field in fields(f"{schema}.schema.json"):
        assert field["description"].endswith(".")
        assert ("unit" in field) == (field["type"] in {"integer", "number"}), field["name"]


def test_rows_read_are_the_records_of_each_file() -> None:
    counted = {name: len(records(name, text)) - 1 for name, text in texts(DEMO).items()}
    counted |= {f"house/{path.name}": pq.read_metadata(path).num_rows for path in PARQUET}
    assert counted == {name: held["rows_read"] for name, held in TRUTH["files"].items()}


def test_rows_of_the_truth_add_up() -> None:
    for held in (*TRUTH["files"].values(), TRUTH["rows"]):
        assert held["rows_read"] == held["rows_kept"] + held["rows_rejected"] + held["duplicate_rows"]
    for key, total in TRUTH["rows"].items():
        assert sum(held[key] for held in TRUTH["files"].values()) == total


@pytest.mark.parametrize("by", ["quarter", "model and quarter", "site", "age_from_days"])
def test_every_split_of_the_truth_has_the_same_totals(by: str) -> None:
    for key in ("drive_days", "failures"):
        whole = sum(cell[key] for cell in CELLS["model"].values())
        assert sum(cell[key] for cell in CELLS[by].values()) == whole


def test_drives_and_failures_of_the_truth_add_up() -> None:
    for model, ends in TRUTH["ends"].items():
        assert ends["failed"] == CELLS["model"][model]["failures"]
        assert (
            sum(ends[end] for end in ("failed", "retired", "vanished", "in_service"))
            == CELLS["model"][model]["drives"]
        )
    assert sum(cell["drives"] for cell in CELLS["model"].values()) == TRUTH["drives"]


def limits(failures: int, years: float) -> tuple[float, float]:
    """Return the exact limits of Garwood (1936), Biometrika 28, 437-442, as quantiles of chi-square."""
    low = float(chi2.ppf(0.025, 2 * failures)) / 2 if failures else 0.0
    return low / years, float(chi2.ppf(0.975, 2 * failures + 2)) / 2 / years


def verdict(failures: int, years: float, stated: float) -> str:
    low, high = limits(failures, years)
    if low > stated:
        return "worse"
    if high < stated:
        return "better"
    return "consistent" if high < 2 * stated else "too little"


def readme_table(first_heading: str) -> list[list[str]]:
    """Return the rows of the README's table whose first heading is given."""
    lines = (DEMO / "README.md").read_text(encoding="utf-8").splitlines()
    start = next(number for number, line in enumerate(lines) if line.startswith(f"| {first_heading} |"))
    rows = []
    for line in lines[start + 2 :]:
        if not line.startswith("|"):
            break
        rows.append([cell.strip() for cell in line.strip("|").split("|")])
    return rows


def test_models_come_to_the_verdicts_that_the_readme_tells() -> None:
    rows = {row[0]: row[1:6] for row in readme_table("Model")}
    assert rows.pop("Vessrik Q32") == ["0", "0.0", "no exposure", "0.35", "too little"]
    assert set(rows) == set(CELLS["model"])
    for model, (failures, years, rate, stated, told) in rows.items():
        cell = CELLS["model"][model]
        exposure = cell["drive_days"] / 365
        low, high = limits(cell["failures"], exposure)
        assert failures == str(cell["failures"])
        assert years == f"{exposure:.1f}"
        assert rate == f"{100 * cell['failures'] / exposure:.2f} ({100 * low:.2f}-{100 * high:.2f})"
        assert told == (
            "none" if stated == "none" else verdict(cell["failures"], exposure, float(stated) / 100)
        )


def test_one_verdict_and_no_other_hangs_on_the_vanished_drives() -> None:
    hanging = set()
    for model, _, _, _, stated, told, _ in readme_table("Model"):
        if stated != "none" and model in CELLS["model"]:
            cell, vanished = CELLS["model"][model], TRUTH["ends"][model]["vanished"]
            if verdict(cell["failures"] + vanished, cell["drive_days"] / 365, float(stated) / 100) != told:
                hanging.add(model)
    assert hanging == {"Tolmaw K12"}


def test_stated_rates_of_the_readme_are_those_of_the_datasheets() -> None:
    sheets = tomllib.loads((DEMO / "datasheets.toml").read_text(encoding="utf-8"))["datasheet"]
    told = {row[0]: row[4] for row in readme_table("Model") if row[4] != "none"}
    assert {sheet["model"] for sheet in sheets} == set(told)
    for sheet in sheets:
        stated = float(told[sheet["model"]])
        if "mtbf_hours" in sheet:
            assert 100 * 8760 / sheet["mtbf_hours"] == pytest.approx(stated, abs=0.005)
        if sheet.get("afr_is") == "probability":
            assert (sheet["afr_percent"], stated) == (4.0, 4.08)  # -ln(1 - 0.04) = 0.0408
        elif "afr_percent" in sheet:
            assert sheet["afr_percent"] == stated


def test_the_readme_counts_the_planted_findings() -> None:
    told = {row[0].strip("`"): (int(row[1]), int(row[2])) for row in readme_table("Check")}
    assert told == {check: (held["drives"], held["rows"]) for check, held in TRUTH["checks"].items()}


def test_the_readme_names_every_column() -> None:
    named = " ".join(row[0] for row in readme_table("Column"))
    for schema in ("house", "lantern"):
        for field in fields(f"{schema}.schema.json"):
            assert f"`{field['name']}`" in named or f"`{field['name']}," in named
