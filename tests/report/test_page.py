from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from reliability import report
from reliability.datasheet import Datasheet
from reliability.loaders.accounts import CheckTotal, SetAside, SourceAccount
from reliability.loaders.reasons import Retirements
from reliability.quarter import Quarter
from reliability.report.contents import Contents, gather
from reliability.report.numbers import DASH
from reliability.report.page import page
from report.html_walk import Page, walk
from report.sheets import SHEETS
from report.stand_in import BANDS, FIRST, StandIn, history, invented

QUARTER = Quarter(2026, 3)
COMMAND = "driveyears report --quarter 2026Q3 --datasheets datasheets.toml --out report"
SCRIPT = "<script>alert(1)</script>"
NASTY = (SCRIPT, "{{7*7}}", '"><img src=x onerror=alert(1)>', "</style></title>", "$a_b$ & 'c'")


@pytest.fixture(scope="module")
def contents() -> Contents:
    return gather(invented(), SHEETS, QUARTER, command=COMMAND)


@pytest.fixture(scope="module")
def html(contents: Contents) -> str:
    return page(contents)


@pytest.fixture(scope="module")
def walked(html: str) -> Page:
    return walk(html)


def one_model(*failures: int, drives: int = 10, age: int | None = 0, name: str = "Solo 1") -> StandIn:
    return StandIn(FIRST.first_day, QUARTER.last_day, history(name, failures, drives=drives, age=age))


def test_the_same_contents_give_the_same_bytes(contents: Contents, html: str) -> None:
    assert page(contents) == html
    assert page(gather(invented(), SHEETS, QUARTER, command=COMMAND)) == html


def test_every_tag_is_closed_and_every_id_is_one(walked: Page) -> None:
    assert walked.faults == []
    ids = [tag.attributes["id"] for tag in walked.tags if "id" in tag.attributes]
    assert len(ids) == len(set(ids))
    used = [name for tag in walked.tags for name in tag.attributes.get("aria-labelledby", "").split()]
    used += [tag.attributes["href"].removeprefix("#") for tag in walked.tags if "href" in tag.attributes]
    assert set(used) <= set(ids)


def test_the_page_asks_for_nothing_and_runs_nothing(html: str, walked: Page) -> None:
    assert not walked.named("script")
    assert not walked.named("link")
    for tag in walked.tags:
        assert not any(name.startswith("on") for name in tag.attributes)
        assert "src" not in tag.attributes
        assert tag.attributes.get("href", "#").startswith("#")
    assert "http" not in html
    assert "@import" not in html
    assert all(address.startswith("#") for address in re.findall(r"url\(([^)]*)\)", html))


def test_headings_go_in_order_and_every_section_is_named_by_one(walked: Page) -> None:
    levels = [int(tag.name[1]) for tag in walked.tags if re.fullmatch("h[1-6]", tag.name)]
    assert levels.count(1) == 1
    assert all(later - sooner <= 1 for sooner, later in pairwise(levels))
    named = {tag.attributes["aria-labelledby"] for tag in walked.named("section")}
    assert named == {tag.attributes["id"] for tag in walked.named("h2")}
    linked = {tag.attributes["href"].removeprefix("#") for tag in walked.named("a")}
    assert named <= linked, "the list of sections leads to each of them"
    assert [len(walked.named(landmark)) for landmark in ("header", "main", "footer", "nav")] == [1, 1, 1, 1]


def test_every_table_has_a_caption_and_heads_with_a_scope_in_a_region_the_keyboard_reaches(
    walked: Page,
) -> None:
    assert len(walked.named("caption")) == len(walked.named("table")) > 0
    assert all(tag.attributes["scope"] in {"col", "row"} for tag in walked.named("th"))
    regions = [tag for tag in walked.named("div") if tag.attributes.get("class") == "scroll"]
    assert len(regions) == len(walked.named("table"))
    for region in regions:
        assert (region.attributes["role"], region.attributes["tabindex"]) == ("region", "0")
    labels = [region.attributes["aria-label"] for region in regions]
    assert len(labels) == len(set(labels))


def test_every_drawing_is_an_image_with_a_name_and_a_description(walked: Page) -> None:
    drawings = walked.named("svg")
    # both forms of the first two; six models seen, by quarter and by age; five with a failure, for survival
    assert len(drawings) == 2 * 2 + 2 * 6 + 2 * 5
    assert all(tag.attributes["role"] == "img" for tag in drawings)
    titles = [tag for tag in walked.named("title") if "svg" in tag.inside]
    assert len(titles) == len([tag for tag in walked.named("desc") if "svg" in tag.inside]) == len(drawings)


def test_the_verdicts_come_before_everything_else_and_in_their_own_words(
    walked: Page, contents: Contents
) -> None:
    sentences = [line.comparison.sentence for line in contents.lines if line.comparison]
    places = [walked.text.index(sentence) for sentence in sentences]
    assert places == sorted(places)
    assert walked.text.index(contents.headline) < places[0]
    assert places[-1] < walked.text.index("Rates and what is stated", places[0])
    vanished = [line.vanished.sentence for line in contents.lines if line.vanished]
    assert len(vanished) == 2
    assert all(sentence in walked.text for sentence in vanished)


def test_retirements_for_warning_signs_stand_in_a_table_with_the_reasons_that_are_unclear(
    walked: Page, contents: Contents
) -> None:
    assert "Drives retired for warning signs, as the reason in the removal log says." in walked.text
    found = {line.model: line.preemptive for line in contents.lines}
    unclear = found["TARN T18"].unclear_sentence
    assert unclear is not None
    assert unclear in walked.text
    depending = [each for each in found.values() if each.depends]
    assert all(str(each.sentence) in walked.text for each in depending)


def test_the_page_says_what_it_is_about(walked: Page, contents: Contents) -> None:
    for said in (
        *contents.notes,
        *contents.cautions,
        *contents.unknown_age.sentences,
        *contents.accounts.sentences,
        *(model.known for model in contents.survival.untold),
        *(note for model in contents.survival.drawn for note in model.notes),
        COMMAND,
        contents.reproduction.digest,
        *(source.digest for source in contents.reproduction.sources),
        *(check.price for check in contents.accounts.findings),
        "rate is annual already",
        "365 drive-days",
        "single planned look",
    ):
        assert said in walked.text


def test_what_is_not_there_is_a_dash_and_never_a_nan(walked: Page) -> None:
    assert not re.search(r"\b(None|nan|NaN|inf|Infinity|undefined)\b", walked.text)
    assert f"{DASH} no exposure" in walked.text
    assert "no limits" in walked.text


def test_every_text_from_the_data_is_escaped() -> None:
    pieces = tuple(piece for name in NASTY for piece in history(name, (1, 0, 1), drives=70, age=0))
    store = replace(
        invented(),
        pieces=pieces,
        failed_means=NASTY[0],
        vanished=dict.fromkeys(NASTY, 1),
        reasons=tuple(Retirements(name, 1, 0, ((name, 1),)) for name in NASTY),
        files=tuple(SourceAccount(name, name, 3, 3, 0, 0) for name in NASTY),
        files_set_aside=tuple(SetAside(name, name) for name in NASTY),
        found=tuple(CheckTotal("gap", 1, 1, 1, name, name) for name in NASTY),
    )
    sheets = [Datasheet(name, afr_percent=1.0, source=name) for name in NASTY]
    html = page(gather(store, sheets, Quarter(2024, 4), command=NASTY[0]))
    walked = walk(html)
    assert walked.faults == []
    assert not walked.named("script")
    assert not walked.named("img")
    assert not any(name.startswith("on") for tag in walked.tags for name in tag.attributes)
    assert {name for name in NASTY if name not in walked.text} == set()
    assert "49" not in [text.strip() for text in walked.texts]


def test_the_section_on_survival_says_what_each_curve_and_line_rest_on(
    walked: Page, contents: Contents
) -> None:
    drawn = {model.model: model for model in contents.survival.drawn}
    assert list(drawn) == ["TARN T18", "TARN T22", "Korrin 12N", "Mauvel P8", "Osk 4"]
    assert drawn["TARN T18"].heading == "52 failures, given alive at age 420 days"
    assert drawn["TARN T22"].heading == "7 failures"
    for said in (
        "52 failures, given alive at age 420 days",
        "No Weibull fit: 1 failure. A fit takes at least 2 failures at different ages",
        "Vashtel X20 . No failure: at most",
        "says nothing of any single drive",
        "says nothing of ages beyond those at which drives were seen",
        "a bathtub, no Weibull life holds",
        "smaller than one less the survival",
        "extrapolated",
    ):
        assert said in walked.text


def test_two_to_four_failures_are_called_very_uncertain() -> None:
    walked = walk(page(gather(one_model(1, 1, 1, drives=50), [], Quarter(2024, 4), command=COMMAND)))
    assert walked.faults == []
    assert "The fitted line is very uncertain: it rests on 3 failures." in walked.text
    assert "3 failures, very uncertain" in walked.text


def test_a_model_of_which_never_ten_were_at_risk_says_so_and_has_no_line() -> None:
    html = page(gather(one_model(1, 1, drives=4), [], Quarter(2024, 3), command=COMMAND))
    assert "Never were 10 drives at risk when one failed" in walk(html).text
    assert walk(html).faults == []


def test_survival_is_told_as_it_stood_at_the_end_of_the_quarter() -> None:
    early = gather(invented(), SHEETS, Quarter(2025, 1), command=COMMAND).survival
    late = gather(invented(), SHEETS, QUARTER, command=COMMAND).survival
    failures = [{row.model: row.found.table.failures for row in each.models} for each in (early, late)]
    assert (failures[0]["TARN T18"], failures[1]["TARN T18"]) == (3 + 5 + 4 + 6, 52)
    assert "Mauvel P8" not in failures[0]


def test_a_very_small_fleet_has_a_page_too() -> None:
    html = page(gather(one_model(1, drives=1), SHEETS[:1], FIRST, command=COMMAND))
    walked = walk(html)
    assert walked.faults == []
    assert "1 failure in 0.25 drive-years: AFR 400 % (95 % 10.2-2,230 %)." in walked.text
    assert "Without a datasheet" in walked.text
    assert (
        "Of 1 model with a datasheet, for 1 there is too little exposure to say (single planned look)."
        in walked.text
    )


def test_a_fleet_without_any_known_age_says_so_and_draws_nothing_by_age() -> None:
    html = page(gather(one_model(1, 2, age=None), [], Quarter(2024, 3), command=COMMAND))
    walked = walk(html)
    assert walked.faults == []
    assert "The age of 10 drives is not known" in walked.text
    assert "These are 100 % of all failures" in walked.text
    assert "age-0-title" not in html
    assert "survival-0-title" not in html
    assert "Solo 1 . No life of known age: there is no survival to tell." in walked.text
    assert "No model has a datasheet" in walked.text


def test_a_model_gone_before_the_reported_quarter_is_a_dash_in_it() -> None:
    store = replace(
        invented(), pieces=(*history("Gone 1", (1, 1), drives=100, age=0), *one_model(*[0] * 6).pieces)
    )
    walked = walk(page(gather(store, [], Quarter(2025, 3), command=COMMAND)))
    assert walked.faults == []
    assert re.search(f"Gone 1 0 0 0 {DASH} no exposure no limits", walked.text)


def test_a_long_name_is_whole_in_the_tables() -> None:
    name = "Unbroken" * 30
    walked = walk(page(gather(one_model(0, name=name), [], FIRST, command=COMMAND)))
    assert walked.texts.count(name) >= 4  # of the four tables that have a row for each model


def contrast(first: str, second: str) -> float:
    """Contrast of two colours; source: WCAG 2.1, "contrast ratio" and "relative luminance"."""

    def luminance(colour: str) -> float:
        digits = colour.removeprefix("#")
        digits = digits if len(digits) == 6 else "".join(2 * digit for digit in digits)
        channels = [int(digits[at : at + 2], 16) / 255 for at in (0, 2, 4)]
        linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    lighter, darker = sorted((luminance(first), luminance(second)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_contrast_is_that_of_the_standard() -> None:
    assert contrast("#000", "#ffffff") == pytest.approx(21)  # WCAG 2.1: from 1 to 21
    assert contrast("#777777", "#fff") == pytest.approx(4.48, abs=0.01)  # from memory: just below the limit


def test_every_ink_stands_out_in_light_dark_and_print() -> None:
    style = (Path(report.__file__).parent / "templates" / "style.css").read_text("utf-8")
    blocks = re.findall(r":root \{([^}]*)\}", style)
    themes = [dict(re.findall(r"--(\w+): (#\w+);", block)) for block in blocks]
    assert len(themes) == 3
    for theme in themes:
        for ink in ("ink", "soft", "worse"):
            assert contrast(theme[ink], theme["paper"]) >= 4.5  # WCAG 2.1, 1.4.3 at level AA
        assert contrast(theme["ink"], theme["shade"]) >= 4.5


def test_the_bands_of_the_stand_in_are_those_of_a_store() -> None:
    from reliability.loaders.exposure import BAND_ENDS  # noqa: PLC0415

    assert [end for _, end in BANDS] == [*BAND_ENDS, None]


def test_a_number_and_its_sign_stand_on_one_line_and_a_command_as_it_is_typed() -> None:
    asked = f"{COMMAND} --store '5 % more'"
    html = page(gather(invented(), SHEETS, QUARTER, command=asked))
    assert "--store &#39;5 % more&#39;</code>" in html
    verdicts = html[html.index('id="verdicts"') : html.index("</section>", html.index('id="verdicts"'))]
    assert len(re.findall(r"\d\N{NO-BREAK SPACE}%", verdicts)) > 10
    assert not re.findall(r"\d %", verdicts)
