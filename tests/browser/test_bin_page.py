"""One bin's page on a phone: chart, cross-section, numbers, story."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from heapwright.workshop.bins import bin_answer
from tests.browser.conftest import LiveServer, axe_findings, open_all, tab_through

SCHEMES = ("light", "dark")


def _open(phone: Page, server: LiveServer, key: str = "left") -> None:
    phone.goto(f"{server.address}/bins/{key}", wait_until="networkidle")


def test_the_chart_is_drawn_from_the_numbers_in_the_page(
    phone: Page, live_server: LiveServer
) -> None:
    _open(phone, live_server)
    expect(phone.locator(".curve-plot canvas")).to_be_visible()
    expect(phone.get_by_text("The chart needs scripts")).to_have_count(0)
    painted = phone.evaluate(
        "(() => { const it = document.querySelector('.curve-plot canvas');"
        " const dots = it.getContext('2d').getImageData(0, 0, it.width, it.height).data;"
        " return dots.filter((_, i) => i % 4 === 3).reduce((sum, a) => sum + (a > 0), 0); })()"
    )
    assert painted > 2_000


def test_the_table_says_what_the_chart_shows(phone: Page, live_server: LiveServer) -> None:
    _open(phone, live_server)
    open_all(phone)
    rows = phone.locator(".curve tbody tr")
    answer = bin_answer(live_server.garden, "left")
    assert answer.today.forecast is not None
    days = len(answer.today.forecast.likely_c) / 24
    assert days - 1 <= rows.count() <= days + 2
    read = round(answer.readings[-1].temperature_c * 9 / 5 + 32)
    assert any(f"{read}°F" in text for text in rows.all_inner_texts())
    assert phone.locator(".curve tbody tr.ahead").count() >= 6


def test_touching_the_chart_tells_the_hour_in_words(phone: Page, live_server: LiveServer) -> None:
    _open(phone, live_server)
    readout = phone.locator("[data-readout]")
    expect(readout).to_contain_text("Touch the chart")
    phone.locator(".u-over").hover(position={"x": 60, "y": 60})
    expect(readout).to_contain_text("likely")
    expect(readout).to_contain_text("°F")


def test_a_tap_reads_an_hour_too(phone: Page, live_server: LiveServer) -> None:
    _open(phone, live_server)
    phone.locator(".u-over").tap(position={"x": 120, "y": 80})
    expect(phone.locator("[data-readout]")).to_contain_text("likely")


def test_dragging_the_chart_goes_back_in_time(phone: Page, live_server: LiveServer) -> None:
    _open(phone, live_server, "middle")
    over, readout = phone.locator(".u-over"), phone.locator("[data-readout]")
    over.scroll_into_view_if_needed()
    over.hover(position={"x": 150, "y": 60})
    before = readout.inner_text()
    box = over.bounding_box()
    assert box is not None
    phone.mouse.move(box["x"] + 50, box["y"] + 60)
    phone.mouse.down()
    phone.mouse.move(box["x"] + 200, box["y"] + 60, steps=5)
    phone.mouse.up()
    over.hover(position={"x": 150, "y": 60})
    after = readout.inner_text()
    assert before != after
    # The chart ends where its numbers do, however far it is dragged.
    phone.get_by_role("button", name="All").click()
    over.hover(position={"x": 1, "y": 60})
    first = readout.inner_text()
    phone.mouse.down()
    phone.mouse.move(box["x"] + 280, box["y"] + 60, steps=5)
    phone.mouse.up()
    over.hover(position={"x": 1, "y": 60})
    assert readout.inner_text() == first


def test_the_ranges_are_pressed_by_keyboard(phone: Page, live_server: LiveServer) -> None:
    _open(phone, live_server)
    button = phone.get_by_role("button", name="All")
    button.focus()
    phone.keyboard.press("Enter")
    expect(button).to_have_attribute("aria-pressed", "true")
    expect(phone.get_by_role("button", name="Past week")).to_have_attribute("aria-pressed", "false")


def test_the_cross_section_prints_its_numbers_and_has_words(
    phone: Page, live_server: LiveServer
) -> None:
    _open(phone, live_server)
    picture = phone.get_by_role("img", name="The heap cut through its middle")
    expect(picture).to_be_visible()
    assert picture.locator(".cut-number text").count() >= 6
    open_all(phone)
    expect(phone.locator(".cut tbody tr").first).to_be_visible()


def test_every_entry_of_the_story_can_be_taken_back(phone: Page, live_server: LiveServer) -> None:
    _open(phone, live_server)
    answer = bin_answer(live_server.garden, "left")
    forms = phone.locator(".story form[action='/log/undo']")
    assert forms.count() == len(answer.events)
    ids = forms.locator("input[name=entry_id]").evaluate_all("all => all.map(it => it.value)")
    assert set(ids) == {event.entry_id for event in answer.events}


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("key", ["left", "middle", "right"])
def test_axe_finds_nothing_on_a_bin(
    phone: Page, live_server: LiveServer, key: str, scheme: str
) -> None:
    phone.emulate_media(color_scheme=scheme)
    _open(phone, live_server, key)
    open_all(phone)
    assert axe_findings(phone) == []


def test_everything_on_a_bin_is_reached_with_the_tabulator(
    phone: Page, live_server: LiveServer
) -> None:
    _open(phone, live_server)
    reached = tab_through(phone)
    for name in ("Log a reading", "Why, and what to expect", "All", "Past week", "Ahead"):
        assert name in reached
    assert "The numbers behind the chart" in reached


def test_without_scripts_the_table_stands_in_for_the_chart(
    browser_page_without_scripts: Page, live_server: LiveServer
) -> None:
    page = browser_page_without_scripts
    page.goto(f"{live_server.address}/bins/left")
    expect(page.get_by_text("The chart needs scripts")).to_be_visible()
    page.get_by_text("The numbers behind the chart").click()
    expect(page.locator(".curve tbody tr").first).to_be_visible()


def test_the_printed_page_leaves_the_navigation_out(phone: Page, live_server: LiveServer) -> None:
    _open(phone, live_server)
    phone.emulate_media(media="print")
    expect(phone.locator(".places")).to_be_hidden()
    expect(phone.locator(".cut-picture")).to_be_visible()


@pytest.mark.parametrize("scheme", SCHEMES)
def test_a_picture_of_a_bin_can_be_taken(
    phone: Page, live_server: LiveServer, scheme: str, tmp_path: Path
) -> None:
    phone.emulate_media(color_scheme=scheme)
    _open(phone, live_server)
    picture = phone.screenshot(path=tmp_path / f"bin-{scheme}.png", full_page=True)
    assert len(picture) > 20_000


def test_the_pages_write_nothing_to_the_console(phone: Page, live_server: LiveServer) -> None:
    told: list[str] = []
    phone.on("console", lambda message: told.append(message.text))
    # These tests keep the service worker out; the tool says so on the console.
    ours = "Service Worker registration blocked by Playwright"
    for path in ("/", "/bins/left", "/bins/middle", "/bins/right"):
        phone.goto(live_server.address + path, wait_until="networkidle")
    assert [text for text in told if text != ours] == []
