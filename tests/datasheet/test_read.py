from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from reliability.datasheet import Datasheet, read_datasheets
from reliability.errors import DatasheetError

if TYPE_CHECKING:
    from pathlib import Path

TWO = """
[[datasheet]]
model = "TARN T18"
mtbf_hours = 2_500_000
operating_temperature_c = [5, 60]
source = "sheet 1"

[[datasheet]]
model = "TARN T20"
afr_percent = 4
afr_is = "probability"
"""


def written(folder: Path, text: str | bytes) -> Path:
    path = folder / "datasheets.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def refusal(path: Path) -> str:
    with pytest.raises(DatasheetError) as refused:
        read_datasheets(path)
    return str(refused.value)


def test_datasheets_come_in_the_order_of_the_file(tmp_path: Path) -> None:
    assert read_datasheets(written(tmp_path, TWO)) == (
        Datasheet("TARN T18", mtbf_hours=2_500_000, operating_temperature_c=(5, 60), source="sheet 1"),
        Datasheet("TARN T20", afr_percent=4, afr_is="probability"),
    )


def test_a_byte_order_mark_is_no_fault(tmp_path: Path) -> None:
    assert len(read_datasheets(written(tmp_path, b"\xef\xbb\xbf" + TWO.encode()))) == 2


def test_all_faults_of_all_datasheets_are_said_at_once(tmp_path: Path) -> None:
    path = written(
        tmp_path,
        """
        [[datasheet]]
        model = "TARN T18"
        mtbf_hours = "2.5 million"
        capacity_tb = -18

        [[datasheet]]
        model = "TARN T20"
        afr_percent = 1

        [[datasheet]]
        model = "tarn_t20"
        mtbf_hour = 2_500_000

        [[datasheet]]
        afr_percent = nan
        """,
    )
    assert refusal(path) == (
        f"{path} cannot be used: "
        "[[datasheet]] 1 (TARN T18): mtbf_hours is '2.5 million', it must be a number of hours above 0, "
        "such as 2500000, and capacity_tb is -18, it must be a number of terabytes above 0, such as 18; "
        "[[datasheet]] 3 (tarn_t20): unknown key 'mtbf_hour', did you mean 'mtbf_hours'?, "
        "and it states no rate, give mtbf_hours or afr_percent, "
        "and it is the same model as [[datasheet]] 2, keep one of them; "
        '[[datasheet]] 4 (no model): model is missing, give its name in quotes, such as "TARN T18", '
        "and afr_percent is nan, it must be a number above 0 in percent, such as 0.35."
    )


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    path = tmp_path / "none.toml"
    assert refusal(path) == (
        f"{path} cannot be read (No such file or directory); give the path of a TOML file of datasheets."
    )


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    assert "cannot be read (Is a directory); give the path" in refusal(tmp_path)


@pytest.mark.parametrize(
    "text", ["model,mtbf\nT18,2500000\n", b"\xff\xfe\x00", "[[datasheet]\n", "x = " + "9" * 5000]
)
def test_what_is_not_toml_is_told_with_the_place(tmp_path: Path, text: str | bytes) -> None:
    told = refusal(written(tmp_path, text))
    assert " is not TOML (" in told
    assert told.endswith(
        "; write a [[datasheet]] table for each model, with model and mtbf_hours or afr_percent."
    )


@pytest.mark.parametrize(
    "text",
    [
        "",
        "# nothing\n",
        "datasheet = 3\n",
        "datasheet = []\n",
        "datasheet = [1]\n",
        "[datasheet]\nmodel = 'T'\n",
    ],
)
def test_a_file_without_datasheets(tmp_path: Path, text: str) -> None:
    path = written(tmp_path, text)
    assert refusal(path) == (
        f"{path} has no [[datasheet]]; write a [[datasheet]] table for each model, "
        "with model and mtbf_hours or afr_percent."
    )


def test_other_tables_are_not_passed_over_in_silence(tmp_path: Path) -> None:
    path = written(tmp_path, TWO + "[[datasheets]]\nmodel = 'T'\n[note]\n")
    assert refusal(path) == (
        f"{path} holds datasheets, note beside its datasheets; write a [[datasheet]] table for each model, "
        "with model and mtbf_hours or afr_percent, and nothing else."
    )
