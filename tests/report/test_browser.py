"""The page in a browser: on a phone and on a desk, light, dark and on paper."""

from __future__ import annotations

import shutil
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import sync_playwright

from reliability.quarter import Quarter
from reliability.report.contents import gather
from reliability.report.page import page
from report.sheets import SHEETS
from report.stand_in import history, invented

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path
    from typing import Literal

    from playwright.sync_api import Browser, Page

NEEDED = "No Chromium was found: install the system's package `chromium`; the page is looked at in it."
BY_ROLE = "[role=region][tabindex='0']"


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    executable = shutil.which("chromium") or shutil.which("chromium-browser")
    if executable is None:
        pytest.fail(NEEDED)
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=executable)
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> str:
    store = invented()
    long_name = history("Unbroken" * 20, (1, 2, 1), drives=400, age=0)
    store = replace(store, pieces=(*store.pieces, *long_name))
    file: Path = tmp_path_factory.mktemp("report") / "2026Q3.html"
    command = "driveyears report --quarter 2026Q3 --datasheets " + "a-long-folder/" * 12 + "datasheets.toml"
    file.write_text(page(gather(store, SHEETS, Quarter(2026, 3), command=command)), encoding="utf-8")
    return file.as_uri()


def opened(
    browser: Browser, address: str, width: int, scheme: Literal["light", "dark"]
) -> tuple[Page, list[str]]:
    """Open the page; with it comes what it said on the console and what it asked for."""
    context = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme)
    shown, heard = context.new_page(), list[str]()
    shown.on("console", lambda message: heard.append(message.text))
    shown.on("pageerror", lambda error: heard.append(str(error)))
    shown.on("request", lambda request: heard.append(request.url))
    shown.goto(address)
    return shown, heard


@pytest.mark.parametrize("width", [390, 688, 1280])  # 688: a sheet of A4 within our margins
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_page_asks_for_nothing_but_itself_and_never_scrolls_sideways(
    browser: Browser, address: str, width: int, scheme: Literal["light", "dark"]
) -> None:
    shown, heard = opened(browser, address, width, scheme)
    assert shown.evaluate("document.documentElement.scrollWidth <= innerWidth")
    shown.emulate_media(media="print")
    assert shown.evaluate("document.documentElement.scrollWidth <= innerWidth")
    assert heard == [address]
    shown.context.close()


def test_a_wide_table_scrolls_in_a_region_of_its_own_by_the_keyboard(browser: Browser, address: str) -> None:
    shown, _ = opened(browser, address, 390, "light")
    region = shown.locator(BY_ROLE).first
    assert region.evaluate("region => region.scrollWidth > region.clientWidth")
    region.focus()
    for _ in range(3):
        shown.keyboard.press("ArrowRight")
    shown.wait_for_function("region => region.scrollLeft > 0", arg=region.element_handle())
    shown.context.close()


def test_the_drawing_that_fits_is_the_one_that_is_shown(browser: Browser, address: str) -> None:
    for width, wide in ((390, False), (1280, True)):
        shown, _ = opened(browser, address, width, "light")
        for form, fits in ((".wide", wide), (".narrow", not wide)):
            drawings = shown.locator(f"figure {form} svg").all()
            assert [drawing.is_visible() for drawing in drawings] == [fits] * 2
        shown.context.close()


def test_the_colours_follow_the_readers_choice_and_paper_is_white(browser: Browser, address: str) -> None:
    def colours(shown: Page) -> tuple[str, str]:
        ground = shown.evaluate("getComputedStyle(document.body).backgroundColor")
        ink = shown.evaluate(
            "getComputedStyle(document.querySelector('svg path[style*=currentColor]')).stroke"
        )
        return str(ground), str(ink)

    light, _ = opened(browser, address, 1280, "light")
    dark, _ = opened(browser, address, 1280, "dark")
    assert colours(light) == ("rgb(251, 250, 246)", "rgb(29, 28, 26)")
    assert colours(dark) == ("rgb(23, 24, 26)", "rgb(233, 230, 223)")
    dark.emulate_media(media="print")
    assert colours(dark) == ("rgb(255, 255, 255)", "rgb(0, 0, 0)")
    light.context.close()
    dark.context.close()


def test_on_paper_heads_repeat_and_what_is_folded_away_is_printed(browser: Browser, address: str) -> None:
    shown, _ = opened(browser, address, 1280, "light")
    digest = shown.locator("details td code").first
    assert not digest.is_visible()
    shown.emulate_media(media="print")
    assert digest.is_visible()
    heads = shown.locator("thead").evaluate_all("heads => heads.map(head => getComputedStyle(head).display)")
    assert set(heads) == {"table-header-group"}
    shown.context.close()


def test_names_of_checks_break_between_their_words_alone(browser: Browser, address: str) -> None:
    shown, _ = opened(browser, address, 390, "light")
    broken = shown.evaluate(
        """() => [...document.querySelectorAll("th code")].flatMap(code => [...code.childNodes].filter(word => {
            const range = document.createRange();
            range.selectNodeContents(word);
            return range.getClientRects().length > 1;
        }).map(word => word.textContent))"""
    )
    assert shown.locator("th code", has_text="duplicate_across_files").count() == 1
    assert broken == []
    shown.context.close()
