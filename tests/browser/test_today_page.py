"""The Today page on a phone, with the real program behind it."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from heapwright.workshop.today import today
from tests.browser.conftest import LiveServer, axe_findings, open_all, tab_through

SCHEMES = ("light", "dark")


def test_each_bin_has_a_card_with_its_job(phone: Page, live_server: LiveServer) -> None:
    phone.goto(live_server.address + "/")
    answer = today(live_server.garden)
    expect(phone.locator("article.bin-card")).to_have_count(len(answer.bins))
    for shown in answer.bins:
        card = phone.get_by_role("article", name=shown.bin.name)
        expect(card.get_by_role("heading", level=2)).to_have_text(shown.bin.name)
        expect(card.locator(".task-words")).to_be_visible()
        assert card.locator(".task-words").inner_text().strip()


def test_the_last_reading_stands_there_in_the_gardens_unit(
    phone: Page, live_server: LiveServer
) -> None:
    phone.goto(live_server.address + "/")
    shown = next(one for one in today(live_server.garden).bins if one.last_reading is not None)
    assert shown.last_reading is not None
    fahrenheit = round(shown.last_reading.temperature_c * 9 / 5 + 32)
    card = phone.get_by_role("article", name=shown.bin.name)
    expect(card.locator(".number")).to_have_text(f"{fahrenheit}°F")


def test_the_invented_garden_says_that_it_is_invented(phone: Page, live_server: LiveServer) -> None:
    phone.goto(live_server.address + "/")
    expect(phone.get_by_text("Invented demo garden")).to_be_visible()


def test_why_opens_with_the_keyboard(phone: Page, live_server: LiveServer) -> None:
    phone.goto(live_server.address + "/")
    first = phone.locator("details.why").first
    expect(first.get_by_text("How sure")).to_be_hidden()
    first.locator("summary").focus()
    phone.keyboard.press("Enter")
    expect(first.get_by_text("How sure")).to_be_visible()


@pytest.mark.parametrize("scheme", SCHEMES)
def test_axe_finds_nothing_on_today(phone: Page, live_server: LiveServer, scheme: str) -> None:
    phone.emulate_media(color_scheme=scheme)
    phone.goto(live_server.address + "/")
    open_all(phone)
    assert axe_findings(phone) == []


@pytest.mark.parametrize("scheme", SCHEMES)
def test_axe_finds_nothing_on_the_first_page(
    phone: Page, empty_server: LiveServer, scheme: str
) -> None:
    phone.emulate_media(color_scheme=scheme)
    phone.goto(empty_server.address + "/")
    assert axe_findings(phone) == []


def test_every_action_is_reached_with_the_tabulator(phone: Page, live_server: LiveServer) -> None:
    phone.goto(live_server.address + "/")
    reached = tab_through(phone)
    assert reached[0] == "Skip to the page itself"
    for name in ("Today", "Log", "Build", "Stock", "Garden"):
        assert name in reached
    bins = today(live_server.garden).bins
    full = [one for one in bins if one.stage != "empty"]
    assert reached.count("Log a reading") == len(full)
    assert reached.count("Open bin") == len(bins)


def test_everything_to_hit_is_as_large_as_a_thumb(phone: Page, live_server: LiveServer) -> None:
    phone.goto(live_server.address + "/")
    small = phone.evaluate(
        "[...document.querySelectorAll('a, button, summary')]"
        ".filter(it => !it.classList.contains('skip') && it.getBoundingClientRect().height < 48)"
        ".map(it => it.innerText)"
    )
    assert small == []


@pytest.mark.parametrize("path", ["/", "/bins/left"])
def test_nothing_spills_over_when_text_is_twice_as_large(
    phone: Page, live_server: LiveServer, path: str
) -> None:
    phone.set_viewport_size({"width": 195, "height": 422})
    phone.goto(live_server.address + path)
    open_all(phone)
    wide = phone.evaluate("document.documentElement.scrollWidth")
    assert wide <= 195
    cut_off = phone.evaluate(
        "[...document.querySelectorAll('main h1, main h2, main h3, main p, main a, main button')]"
        ".filter(it => !it.closest('.table-wrap, .visually-hidden'))"
        ".filter(it => it.scrollWidth > it.clientWidth + 1 && it.clientWidth > 0)"
        ".map(it => it.innerText)"
    )
    assert cut_off == []


def test_an_empty_garden_offers_the_demo_and_takes_it(
    phone: Page, empty_server: LiveServer
) -> None:
    phone.goto(empty_server.address + "/")
    expect(phone.get_by_role("link", name="Make your own bins")).to_be_visible()
    # Making the garden runs three heaps; on a busy machine that outlasts the usual patience.
    patience = 120_000
    button = phone.get_by_role("button", name="Look round the invented demo garden")
    button.click(timeout=patience)
    expect(phone.locator("article.bin-card").first).to_be_visible(timeout=patience)
    expect(phone.get_by_text("Invented demo garden")).to_be_visible()


def test_today_works_without_scripts(
    browser_page_without_scripts: Page, live_server: LiveServer
) -> None:
    page = browser_page_without_scripts
    page.goto(live_server.address + "/")
    expect(page.locator("article.bin-card").first).to_be_visible()
    page.locator("details.why summary").first.click()
    expect(page.get_by_text("How sure").first).to_be_visible()


def test_the_first_view_is_light(phone: Page, live_server: LiveServer) -> None:
    """Scripts of every page together stay under 60 kB on the wire."""
    sizes: dict[str, int] = {}
    phone.on(
        "response",
        lambda got: (
            sizes.update({got.url: int(got.headers.get("content-length", "0"))})
            if got.url.split("?")[0].endswith(".js")
            else None
        ),
    )
    for path in ("/", "/bins/left"):
        phone.goto(live_server.address + path, wait_until="networkidle")
    assert sizes, "the bin's page has scripts"
    assert all(size > 0 for size in sizes.values())
    assert sum(sizes.values()) < 60_000


@pytest.mark.parametrize("scheme", SCHEMES)
def test_a_picture_of_today_can_be_taken(
    phone: Page, live_server: LiveServer, scheme: str, tmp_path: Path
) -> None:
    """The picture is for looking at; here only that the two schemes are painted differently."""
    phone.emulate_media(color_scheme=scheme)
    phone.goto(live_server.address + "/")
    assert len(phone.screenshot(path=tmp_path / f"today-{scheme}.png")) > 10_000
    ground = phone.evaluate("getComputedStyle(document.body).backgroundColor")
    assert ground == {"light": "rgb(243, 241, 240)", "dark": "rgb(21, 17, 16)"}[scheme]
