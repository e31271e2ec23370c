"""Which retirements were for warning signs: by words of the mapping, by plain ones, and what is neither is told."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from slow import reasons as slow
from tiny_stores import csv_of, day, loaded, put, refused, rows, said, table

from reliability.loaders.reasons import PLAIN_WORDS, Kind, Retirements, joined_words, kind_of
from reliability.loaders.store import open_store

if TYPE_CHECKING:
    from pathlib import Path

LOG = "serial,date,outcome,reason\n"
WORDS = sorted({word for words in PLAIN_WORDS.values() for word in words})
TEXTS = st.lists(
    st.sampled_from(
        [*WORDS, "BAD_Sectors", "Rack", "no", "7", "(", ")", ",", ".", "-", "é", "Fehler", "errorless"]
    ),
    max_size=5,
).map(" ".join)
LISTS = st.fixed_dictionaries(
    {},
    optional={kind: st.lists(st.sampled_from(["rack", "7", "too small", "Fehler"])) for kind in slow.KINDS},
)


@given(reason=st.none() | TEXTS, told=LISTS)
@example(reason="remapped sectors: 12", told={})
@example(reason="terror", told={})
@example(reason="bad sectors", told={"planned": ["Bad-Sectors"]})
def test_the_kind_is_what_a_plain_reading_word_by_word_gives(
    reason: str | None, told: dict[str, list[str]]
) -> None:
    assert kind_of(reason, told).value == slow.kind(reason, [told, PLAIN_WORDS])


@pytest.mark.parametrize(
    ("reason", "kind"),
    [
        ("bad sectors", Kind.PREEMPTIVE),
        ("Rising  Bad_Sectors (40)", Kind.PREEMPTIVE),
        ("\uff22\uff21\uff24 sectors", Kind.PREEMPTIVE),  # BAD in wide letters
        ("pre-fail warning from the controller", Kind.PREEMPTIVE),
        ("spare, put on the shelf", Kind.PLANNED),
        ("End of lease", Kind.PLANNED),
        ("no bad sectors, disk too small", Kind.UNCLEAR),
        ("terrors", Kind.UNCLEAR),  # words are whole
        ("see ticket", Kind.UNCLEAR),
        ("", Kind.UNCLEAR),
        (None, Kind.UNCLEAR),
    ],
)
def test_plain_words(reason: str | None, kind: Kind) -> None:
    assert kind_of(reason, {}) is kind


def test_no_plain_word_speaks_for_both() -> None:
    both = [word for word in WORDS if kind_of(word, {}) is Kind.UNCLEAR]
    assert both == []


@given(known=LISTS, told=LISTS)
def test_words_of_a_later_mapping_are_right_and_none_is_lost(
    known: dict[str, list[str]], told: dict[str, list[str]]
) -> None:
    joined = joined_words(known, told)
    every = {word for words in (*known.values(), *told.values()) for word in words}
    assert {word for words in joined.values() for word in words} == every
    for kind, words in told.items():
        assert set(words) <= set(joined.get(kind, ()))
    for kind, words in joined.items():
        assert set(words) <= {*told.get(kind, ()), *known.get(kind, ())}


def test_a_life_has_the_reason_of_the_nearest_entry(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    histories = [rows("A", range(10)), rows("B", range(10)), rows("C", range(10), failed={9: "1"})]
    file = put(tmp_path / "a.csv", csv_of(*histories, rows("D", range(60))))
    log = put(
        tmp_path / "log.csv",
        LOG
        + f"A,{day(30)},retired,far\nA,{day(12)},retired,near\nA,{day(12)},retired,next to it\n"
        + f"B,{day(9)},retired,\n"
        + f"C,{day(9)},retired,bad sectors\n",  # the flag beats it
    )
    loaded(capsys, tmp_path / "fleet", file, "--removals", log)
    told = {life["serial"]: (life["outcome"], life["reason"]) for life in table(tmp_path / "fleet", "lives")}
    assert told == {
        "A": ("retired", "near"),
        "B": ("retired", None),
        "C": ("failed", None),
        "D": ("in service", None),
    }
    (found,) = open_store(tmp_path / "fleet").retirements()
    assert found == Retirements("TARN T18", 0, 0, (("near", 1), (None, 1)))


def test_words_of_a_mapping_hold_from_the_next_load_on_and_read_nothing_again(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    store = tmp_path / "fleet"
    file = put(tmp_path / "a.csv", csv_of(rows("A", range(10)), rows("D", range(60))))
    log = put(tmp_path / "log.csv", LOG + f"A,{day(9)},retired,Geräusche beim Anlauf\n")
    loaded(capsys, store, file, "--removals", log)
    assert open_store(store).retirements()[0].unclear == (("Geräusche beim Anlauf", 1),)
    mapping = put(tmp_path / "mapping.toml", '[retired]\npreemptive = ["geräusche"]\n')
    again = loaded(capsys, store, file, "--removals", log, "--mapping", mapping)
    assert again["rows_read"] == 0, "the file is known"
    assert open_store(store).retirements() == (Retirements("TARN T18", 1, 0, ()),)
    # up to the day before, it was there
    first = table(store, "lives")[0]["first_day"]
    assert open_store(store).retirements(last_day=first) == ()
    assert len(open_store(store).retirements(first, first + timedelta(days=9))) == 1
    assert open_store(store).retirements(first + timedelta(days=10)) == ()
    other = put(tmp_path / "other.toml", '[retired]\nplanned = ["GERÄUSCHE"]\n')
    loaded(capsys, store, file, "--mapping", other)
    assert open_store(store).retirements() == (Retirements("TARN T18", 0, 1, ()),)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('preemptive = ["noise"]\nplanned = ["NOISE"]', "'NOISE' stands under preemptive and under planned"),
        ('preemptive = [" "]', "in [retired], a word is blank"),
        ('planned = ["-"]', "in [retired], a word is blank"),
        ('preventive = ["noise"]', "unknown key 'preventive', did you mean 'preemptive'?"),
        ('preemptive = "noise"', "in [retired], preemptive"),
    ],
)
def test_wrong_words_are_refused(
    text: str, words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    mapping = put(tmp_path / "mapping.toml", f"[retired]\n{text}\n")
    file = put(tmp_path / "a.csv", csv_of(rows("A", range(2))))
    refused(
        capsys, tmp_path, "load", file, "--mapping", mapping, "--store", tmp_path / "fleet", naming=[words]
    )


def test_compare_tells_both_ways_and_the_reasons_that_it_does_not_know(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    store = tmp_path / "fleet"
    histories = [rows(f"S{number}", range(10)) for number in range(8)]
    stay = [rows(f"T{number}", range(60)) for number in range(50)]
    file = put(tmp_path / "a.csv", csv_of(*histories, *stay))
    entries = [f"S{number},{day(9)},retired,bad sectors" for number in range(6)]
    log = put(
        tmp_path / "log.csv", LOG + "\n".join([*entries, f"S6,{day(9)},retired,x", f"S7,{day(9)},retired,x"])
    )
    loaded(capsys, store, file, "--removals", log)
    sheet = put(tmp_path / "sheets.toml", '[[datasheet]]\nmodel = "TARN T18"\nafr_percent = 20\n')
    asked = ("compare", "--store", store, "--datasheets", sheet)
    (row,) = said(capsys, *asked, "--format", "json").json["models"]
    assert (row["failures"], row["verdict"], row["preemptive"]) == (0, "too little", 6)
    assert (row["with_preemptive"]["failures"], row["with_preemptive"]["verdict"]) == (6, "worse")
    assert row["with_preemptive"]["afr"] == pytest.approx(6 / row["drive_years"])
    assert row["depends_on_preemptive"] is True
    assert row["unclear_retirements"] == [{"reason": "x", "retirements": 2}]
    page = said(capsys, *asked).out
    assert "Depends on the 6 pre-emptive retirements: as failures AFR" in page
    assert "which would be worse than the datasheet." in page
    assert "TARN T18: Counted as planned, for the log does not tell: 2 retirements (2 'x')." in page
