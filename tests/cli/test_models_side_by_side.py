"""`rank`, and what `compare` allows for, on the demonstration fleet and the small one."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from reliability.cli.main import main
from reliability.comparer.ratios import exact_ratio
from reliability.loaders.load import load
from reliability.loaders.mapping import read_mapping
from reliability.rate import Rate

if TYPE_CHECKING:
    from collections.abc import Iterator

DEMO = Path(__file__).parents[2] / "data" / "demo"
ROW_KEYS = [
    "model",
    "failures",
    "drive_years",
    "afr",
    "standardised",
    "standardised_low",
    "standardised_high",
    "shrunk",
    "shrunk_low",
    "shrunk_high",
    "worst_probability",
]
PAIR_KEYS = ["model", "other", "ratio", "low", "high", "p_value", "p_holm"]


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo") / "fleet"
    load([str(DEMO / "house")], folder)
    log = [str(DEMO / "removals.csv")]
    load([str(DEMO / "lantern")], folder, mapping=read_mapping(DEMO / "mapping.toml"), removals=log)
    return folder


def said(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    capsys.readouterr()
    assert main(list(arguments)) == 0
    return capsys.readouterr().out


def no_constant(text: str) -> float:
    pytest.fail(f"{text} is no JSON")


def told(capsys: pytest.CaptureFixture[str], *arguments: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(
        said(capsys, *arguments, "--format", "json"), parse_constant=no_constant
    )
    return found


def numbers(value: object) -> Iterator[float]:
    if isinstance(value, dict | list):
        for inner in value.values() if isinstance(value, dict) else value:
            yield from numbers(inner)
    elif isinstance(value, float):
        yield value


def compared(capsys: pytest.CaptureFixture[str], store: Path) -> dict[str, dict[str, Any]]:
    sheets = str(DEMO / "datasheets.toml")
    models = told(capsys, "compare", "--store", str(store), "--datasheets", sheets)["models"]
    return {each["model"]: each for each in models}


def test_rank_gives_the_promised_keys_and_the_same_numbers_each_time(
    demo: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = told(capsys, "rank", "--store", str(demo))
    assert list(found) == ["rows", "pairs", "refused"]
    assert all(list(row) == ROW_KEYS for row in found["rows"])
    assert all(list(pair) == PAIR_KEYS for pair in found["pairs"])
    assert all(math.isfinite(number) for number in numbers(found))
    assert found == told(capsys, "rank", "--store", str(demo))


def test_rank_orders_by_the_shrunk_rate(demo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The demonstration's own table: 36 failures in 490.5 drive-years are the most that a model shows."""
    rows = told(capsys, "rank", "--store", str(demo))["rows"]
    assert len(rows) == 9
    shrunk = [row["shrunk"] for row in rows]
    assert shrunk == sorted(shrunk, reverse=True)
    assert (rows[0]["model"], rows[0]["failures"], round(rows[0]["drive_years"], 1)) == (
        "Ubbard L4",
        36,
        490.5,
    )
    assert rows[-1]["model"] == "Pellarn D12"
    assert sum(row["worst_probability"] for row in rows) == pytest.approx(1)
    assert all(row["shrunk_low"] < row["shrunk"] < row["shrunk_high"] for row in rows)


def test_rank_says_what_it_refuses(demo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The new Q28 and the second-hand Q8 share no age, so nothing can be standardised over all nine models."""
    found = told(capsys, "rank", "--store", str(demo))
    assert all(row["standardised"] is None for row in found["rows"])
    assert found["refused"].startswith("No rates at one mix of ages: 100 % of the exposure")
    few = told(capsys, "rank", "--store", str(demo), "--model", "Tolmaw K8", "--model", "pellarn_d6")
    assert [row["model"] for row in few["rows"]] == ["Pellarn D6", "Tolmaw K8"]
    assert all(
        row["standardised_low"] < row["standardised"] < row["standardised_high"] for row in few["rows"]
    )
    assert all(row["shrunk"] is None and row["worst_probability"] is None for row in few["rows"])
    assert few["refused"].startswith("No shrunk rates: 2 models")


def test_pairs_without_a_failure_are_null_and_those_with_none_on_one_side_unbounded(
    demo: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = told(capsys, "rank", "--store", str(demo))
    counts = {row["model"]: (row["failures"], row["drive_years"]) for row in found["rows"]}
    assert len(found["pairs"]) == 9 * 8 / 2
    for pair in found["pairs"]:
        ours, theirs = (Rate(x, 365 * years) for x, years in (counts[pair["model"]], counts[pair["other"]]))
        if not ours.failures + theirs.failures:
            assert (pair["ratio"], pair["low"], pair["high"]) == (None, 0, None)
            assert (pair["p_value"], pair["p_holm"]) == (None, None)
        elif not theirs.failures:
            assert (pair["ratio"], pair["high"]) == (None, None)
            assert pair["low"] == pytest.approx(exact_ratio(ours, theirs).interval.low)
        else:
            assert pair["low"] <= pair["ratio"] <= pair["high"]
            assert pair["p_value"] <= pair["p_holm"] <= 1


def test_rank_reads_in_words(demo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = said(capsys, "rank", "--store", str(demo))
    assert "Models side by side, by shrunk rate" in text
    assert "Ubbard L4 fails 6.1 times as often as Vessrik Q8 (2.34-16.1)." in text
    assert "No failures in either, nothing to compare." in text
    assert "(ages not allowed for)" in text
    assert "on their own figures, but not after allowing for 33 pairs compared." in text
    assert "Of unknown age, and not in what allows for age: 11 drives" in text
    few = said(capsys, "rank", "--store", str(demo), "--model", "Tolmaw K8", "--model", "Tolmaw K12")
    assert "Models side by side, by name" in few
    assert "Nothing tells these models apart" in few


def test_rank_as_csv_is_its_rows(demo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    header, *lines = said(capsys, "rank", "--store", str(demo), "--format", "csv").splitlines()
    assert header.split(",") == ROW_KEYS
    assert lines[0].startswith("Ubbard L4,36,")
    assert len(lines) == 9


@pytest.mark.parametrize(
    ("store", "arguments", "words"),
    [
        (
            None,
            ["--model", "Nobody"],
            "There is no model 'Nobody' in the store; its models are 'Pellarn D12', 'Pellarn",
        ),
        ("nowhere", [], "nowhere"),
    ],
)
def test_what_cannot_be_asked_is_one_sentence_and_code_2(
    demo: Path, capsys: pytest.CaptureFixture[str], store: str | None, arguments: list[str], words: str
) -> None:
    capsys.readouterr()
    assert main(["rank", "--store", store or str(demo), *arguments]) == 2
    found = capsys.readouterr()
    assert words in found.err
    assert found.err.count("\n") == 1
    assert not found.out


def test_the_bad_model_stays_worse_among_all_and_with_its_spread(
    demo: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = compared(capsys, demo)
    bad = found["Tolmaw K8"]
    assert (bad["verdict"], bad["holm_verdict"], bad["spread_verdict"]) == ("worse", "worse", "worse")
    good = found["Pellarn D12"]
    assert (good["verdict"], good["holm_verdict"], good["spread_verdict"]) == ("better", "better", "better")


def test_a_verdict_that_the_racks_take_back(demo: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """K12: 5 of its 11 failures stand in one of nine racks."""
    k12 = compared(capsys, demo)["Tolmaw K12"]
    assert (k12["verdict"], k12["holm_verdict"], k12["spread_verdict"]) == (
        "consistent",
        "consistent",
        "too little",
    )
    text = said(capsys, "compare", "--store", str(demo), "--datasheets", str(DEMO / "datasheets.toml"))
    assert (
        "    The verdict is about these drives only: with the spread between 9 racks AFR 1.02-6.79 %" in text
    )
    assert "    Still worse after allowing for 7 models compared.\n" in text
    assert "    The verdict is about the model: with the spread between 7 racks AFR 2.45-7.05 %" in text
    assert "has 5 groups with 5 failures: Vessrik Q28, Vessrik Q32, Vessrik Q8." in text


def test_without_datasheet_exposure_or_groups_there_is_nothing_to_allow_for(
    demo: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = compared(capsys, demo)
    assert (found["Q8"]["holm_verdict"], found["Q8"]["spread_verdict"]) == (None, None)
    assert (found["Vessrik Q32"]["holm_verdict"], found["Vessrik Q32"]["spread_verdict"]) == (
        "too little",
        None,
    )
    assert (found["Vessrik Q8"]["holm_verdict"], found["Vessrik Q8"]["spread_verdict"]) == (
        "too little",
        None,
    )


def test_the_small_fleet_has_no_groups_and_too_few_models(
    small_store: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheets = str(small_store.parent / "datasheets.toml")
    text = said(capsys, "compare", "--store", str(small_store), "--datasheets", sheets)
    assert "    Still worse after allowing for 2 models compared.\n" in text
    assert "About these drives only, since no batch, rack or site label" in text
    assert "Spread between groups" not in text
    found = told(capsys, "rank", "--store", str(small_store))
    assert [row["model"] for row in found["rows"]] == ["Marl M6", "TARN T18"]
    (pair,) = found["pairs"]
    assert (pair["model"], pair["other"], pair["ratio"], pair["high"]) == ("Marl M6", "TARN T18", None, None)
