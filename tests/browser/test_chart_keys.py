"""The forecast chart by keyboard and by its buttons, and what stands behind it in words."""

from __future__ import annotations

import re

from playwright.sync_api import Browser, Page, expect

from heapwright.web.chart import LETTERS, curve_told, day_rows, marks_of
from heapwright.web.here import zone_of
from heapwright.workshop.bins import bin_answer
from tests.browser.conftest import LiveServer, open_all
from tests.conftest import PHONE


def _open(phone: Page, server: LiveServer, key: str = "middle") -> None:
    phone.set_default_timeout(60_000)  # a bin is worked out when it is first asked for
    phone.goto(f"{server.address}/bins/{key}", wait_until="networkidle")
    expect(phone.locator(".curve-plot canvas")).to_be_visible()


def _span(phone: Page) -> list[str]:
    """What the left and the right end of the chart say."""
    found = []
    width = phone.locator(".u-over").bounding_box()["width"]  # type: ignore[index]
    for x in (1, width - 2):
        phone.locator(".u-over").hover(position={"x": x, "y": 60})
        found.append(phone.locator("[data-readout]").inner_text())
    return found


def test_arrows_read_the_chart_hour_by_hour_to_whoever_cannot_see_it(
    phone: Page, live_server: LiveServer
) -> None:
    _open(phone, live_server)
    plot = phone.get_by_role("slider", name=re.compile("Chart of the temperature"))
    plot.focus()
    phone.keyboard.press("Home")
    expect(plot).to_have_attribute("aria-valuenow", "0")
    first = plot.get_attribute("aria-valuetext") or ""
    assert "likely" in first and "air" in first
    phone.keyboard.press("PageDown")
    expect(plot).to_have_attribute("aria-valuenow", "24")
    phone.keyboard.press("ArrowRight")
    expect(plot).to_have_attribute("aria-valuenow", "27")
    phone.keyboard.press("End")
    last = plot.get_attribute("aria-valuemax") or ""
    expect(plot).to_have_attribute("aria-valuenow", last)
    assert plot.get_attribute("aria-valuetext") != first


def test_buttons_go_back_and_nearer_and_end_where_the_numbers_do(
    phone: Page, live_server: LiveServer
) -> None:
    _open(phone, live_server)
    seen = _span(phone)
    phone.get_by_role("button", name="Back", exact=True).tap()
    assert _span(phone) != seen
    phone.get_by_role("button", name="All", exact=True).tap()
    whole = _span(phone)
    phone.get_by_role("button", name="Farther").tap()
    assert _span(phone) == whole
    phone.get_by_role("button", name="Nearer").tap()
    near = _span(phone)
    assert near[0] != whole[0] and near[1] != whole[1]
    for _ in range(6):
        phone.get_by_role("button", name="On", exact=True).tap()
    end = _span(phone)
    assert end[1] != near[1]
    phone.get_by_role("button", name="On", exact=True).tap()
    assert _span(phone) == end


def test_the_words_before_the_chart_and_the_table_say_what_is_drawn(
    phone: Page, live_server: LiveServer
) -> None:
    _open(phone, live_server)
    open_all(phone)
    answer = bin_answer(live_server.garden, "middle")
    assert answer.today.forecast is not None
    told = curve_told(answer, answer.today.forecast)
    words = phone.locator(".curve-told").inner_text()
    assert f"{told.readings} readings" in words and "Turned 1 time." in words
    assert told.water_kg == sum(event.water_kg for event in answer.events) > 0
    rows = day_rows(answer, answer.today.forecast, zone_of(live_server.garden))
    wetted = [row for row in rows if row.water_kg > 0]
    texts = phone.locator(".curve tbody tr").all_inner_texts()
    assert sum("gal" in text for text in texts) == len(wetted) == 2
    assert {letters for _, letters in marks_of(answer.events)} == {"BW", "TW"}
    keys = phone.locator(".curve .keys .letter").all_inner_texts()
    assert keys == [LETTERS[kind][0] for kind in ("build", "turn", "wet")]


def test_the_chart_says_an_hour_in_the_readers_language(
    browser: Browser, live_server: LiveServer
) -> None:
    context = browser.new_context(**PHONE, locale="es-ES")
    page = context.new_page()
    _open(page, live_server)
    page.get_by_role("slider", name=re.compile("Gráfica de la temperatura")).focus()
    page.keyboard.press("Home")
    expect(page.locator("[data-readout]")).to_have_text(
        re.compile(
            r"^(lun|mar|mié|jue|vie|sáb|dom), \d+ \w+, .*: probable .* \(de .* a .*\), aire "
        )
    )
    context.close()
