"""The heap cut open through time on a bin's page: slider, buttons, heat and water, the tables."""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from heapwright.quantities import UnitSystem
from heapwright.sentences import Reader
from heapwright.web import drawing
from heapwright.web.course import cut_picture
from heapwright.web.here import zone_of
from heapwright.web.scales import heat_scale, water_scale
from heapwright.workshop.answers import HeapCourse
from heapwright.workshop.course import heap_course
from tests.browser.conftest import LiveServer, axe_findings, open_all, tab_through

SCHEMES = ("light", "dark")
THUMB_PX = 44
#: The d of every path of the picture and the numbers on it, as the page shows them.
SEEN = """(() => {
  const all = (name) => [...document.querySelectorAll(`.cut ${name}`)];
  const path = (name) => document.querySelector(`[data-path="${name}"]`).getAttribute("d") || "";
  const plates = (name) => all(`[data-plates="${name}"] g`).map((it) => [
    +it.querySelector("text").getAttribute("x"), it.querySelector("text").textContent]);
  return {
    heat: all("[data-bands='heat'] > [fill-rule]").map((it) => it.getAttribute("d") || ""),
    water: all("[data-bands='water'] > [class]").map((it) => it.getAttribute("d") || ""),
    outline: path("outline"), lines: path("lines"), limits: path("limits"),
    dry: path("dry"), wet: path("wet"), numbers: plates("cells"), lineNumbers: plates("lines"),
    tip: document.querySelector("[data-tip-words]").textContent,
    height: document.querySelector("[data-height-words]").textContent,
  };
})()"""


def _open(phone: Page, server: LiveServer, key: str = "middle") -> Locator:
    phone.goto(f"{server.address}/bins/{key}", wait_until="networkidle")
    return phone.locator("[data-slider]")


def _course(server: LiveServer, key: str = "middle") -> HeapCourse:
    found = heap_course(server.garden, key)
    assert found is not None
    return found


def _near(path: str, other: str) -> bool:
    """Whether two paths are the same to the tenth of a unit that is drawn."""
    letters = [re.sub(r"-?[\d.]+", "", one) for one in (path, other)]
    numbers = [[float(n) for n in re.findall(r"-?[\d.]+", one)] for one in (path, other)]
    return letters[0] == letters[1] and numbers[0] == pytest.approx(numbers[1], abs=0.11)


def test_the_slider_begins_now_and_says_so(phone: Page, live_server: LiveServer) -> None:
    slider = _open(phone, live_server)
    course = _course(live_server)
    expect(slider).to_have_value(str(course.now_index))
    expect(slider).to_have_attribute("aria-valuetext", re.compile(r"^Day \d+, \d\d:\d\d, now: "))
    expect(phone.locator("[data-when]")).to_contain_text(", now")
    expect(phone.locator("[data-picture]")).not_to_have_class(re.compile("cut-ahead"))


def test_the_keyboard_moves_picture_and_words(phone: Page, live_server: LiveServer) -> None:
    slider = _open(phone, live_server)
    slider.focus()
    before, said = phone.evaluate(SEEN), slider.get_attribute("aria-valuetext")
    phone.keyboard.press("Home")
    after = phone.evaluate(SEEN)
    assert after["outline"] != before["outline"] and after["heat"] != before["heat"]
    assert after["height"] != before["height"]
    expect(slider).to_have_attribute("aria-valuetext", re.compile("^Day 0, "))
    assert slider.get_attribute("aria-valuetext") != said
    expect(phone.locator("[data-done]")).to_contain_text("Built in")
    expect(phone.locator("[data-seen]")).to_contain_text("Day 0, ")
    phone.keyboard.press("End")
    expect(slider).to_have_attribute("aria-valuetext", re.compile(", forecast: core -?"))
    expect(phone.locator("[data-picture]")).to_have_class(re.compile("cut-ahead"))
    phone.keyboard.press("ArrowLeft")
    expect(slider).to_have_value(str(len(_course(live_server).frames) - 2))


def test_the_words_of_the_slider_are_the_models_in_the_readers_unit(
    phone: Page, live_server: LiveServer
) -> None:
    slider = _open(phone, live_server)
    section = _course(live_server).now.section
    core, edge = (
        f"{section.temperature_c[section.cell_at(across, 0.5)] * 1.8 + 32:.0f} °F"
        for across in (0.0, 1.0)
    )
    told = slider.get_attribute("aria-valuetext") or ""
    assert told.endswith(f": core {core}, edge {edge}")
    phone.get_by_role("button", name="Water", exact=True).click()
    share = section.moisture[section.cell_at(0.0, 0.5)]
    expect(slider).to_have_attribute(
        "aria-valuetext", re.compile(f"core {share * 100:.0f} % water")
    )


def test_the_buttons_go_back_on_and_to_now(phone: Page, live_server: LiveServer) -> None:
    slider = _open(phone, live_server)
    now = _course(live_server).now_index
    phone.get_by_role("button", name="Earlier").click()
    expect(slider).to_have_value(str(now - 1))
    expect(phone.locator("[data-said]")).to_have_text(slider.get_attribute("aria-valuetext") or "-")
    phone.get_by_role("button", name="Later").click()
    phone.get_by_role("button", name="Later").click()
    expect(slider).to_have_value(str(now + 1))
    expect(phone.locator("[data-when]")).to_contain_text("forecast")
    phone.get_by_role("button", name="Now", exact=True).click()
    expect(slider).to_have_value(str(now))


def test_a_thumb_drags_the_slider(phone: Page, live_server: LiveServer) -> None:
    slider = _open(phone, live_server)
    slider.scroll_into_view_if_needed()
    box = slider.bounding_box()
    assert box is not None and box["height"] >= THUMB_PX
    phone.touchscreen.tap(box["x"] + 20, box["y"] + box["height"] / 2)
    assert int(slider.input_value()) <= 3
    expect(phone.locator("[data-when]")).to_contain_text("Day ")


def test_what_is_pressed_is_large_enough_for_a_thumb(phone: Page, live_server: LiveServer) -> None:
    _open(phone, live_server)
    for button in phone.locator(".cut button").all():
        box = button.bounding_box()
        assert box is not None and min(box["width"], box["height"]) >= THUMB_PX


def test_the_controls_stay_where_they_are_whatever_is_shown(
    phone: Page, live_server: LiveServer
) -> None:
    slider = _open(phone, live_server, "right")
    tops = set()
    for place in range(len(_course(live_server, "right").frames)):
        slider.evaluate(
            "(it, to) => { it.value = to; it.dispatchEvent(new Event('input')); }", place
        )
        tops.add(slider.evaluate("it => Math.round(it.getBoundingClientRect().top + scrollY)"))
    assert len(tops) == 1


def test_marks_stand_where_the_slider_stands_for_them(phone: Page, live_server: LiveServer) -> None:
    slider = _open(phone, live_server, "right")
    course = _course(live_server, "right")
    turns = [
        i
        for i, frame in enumerate(course.frames)
        if any(event.kind == "turn" for event in frame.done)
    ]
    letters = phone.locator(".course-track text", has_text=re.compile("^T$"))
    assert letters.count() == len(turns) == 3
    for turn, letter in zip(turns, letters.all(), strict=True):
        slider.fill(str(turn))
        box, place = slider.bounding_box(), letter.bounding_box()
        assert box is not None and place is not None
        share = turn / (len(course.frames) - 1)
        thumb = box["x"] + 16 + share * (box["width"] - 32)
        assert place["x"] + place["width"] / 2 == pytest.approx(thumb, abs=2.0)
        expect(phone.locator("[data-done]")).to_contain_text(re.compile("Moved|Stirred"))


def _expected(server: LiveServer, key: str, quantity: str) -> dict[int, drawing.Section]:
    """What the program draws for every third moment, the first among them."""
    course, reader = _course(server, key), Reader(UnitSystem.US)
    cut = cut_picture(course, 55.0, reader, zone_of(server.garden))
    scale = heat_scale(55.0, reader) if quantity == "heat" else water_scale()
    return {
        place: drawing.draw_section(
            course.frames[place].section,
            drawing.Heap(
                cut.paper, cut.bins[cut.data["bins"][place]], cut.data["heights"][place] / 1000
            ),
            course.tip_depth_m,
            scale,
        )
        for place in range(0, len(course.frames), 3)
    }


def _assert_same(seen: dict[str, Any], section: drawing.Section, quantity: str) -> None:
    for is_one, expected in zip(seen[quantity], section.bands, strict=True):
        assert _near(is_one, expected)
    for name in ("outline", "lines", "limits", "dry", "wet"):
        assert _near(seen[name], getattr(section, name)), name
    assert [text for _, text in seen["numbers"]] == [label.text for label in section.numbers]
    told = [[label.x, label.text] for label in section.line_numbers]
    assert seen["lineNumbers"] == told


@pytest.mark.parametrize("quantity", ["heat", "water"])
@pytest.mark.parametrize("key", ["left", "right"])
def test_the_script_draws_moments_as_the_program_does(
    phone: Page, live_server: LiveServer, key: str, quantity: str
) -> None:
    """Two routes to one picture: cut.js in the browser, drawing.py on the server."""
    slider = _open(phone, live_server, key)
    if quantity == "water":
        phone.get_by_role("button", name="Water", exact=True).click()
    for place, section in _expected(live_server, key, quantity).items():
        slider.evaluate(
            "(it, to) => { it.value = to; it.dispatchEvent(new Event('input')); }", place
        )
        _assert_same(phone.evaluate(SEEN), section, quantity)


def test_without_scripts_the_present_picture_and_the_tables_are_there(
    browser_page_without_scripts: Page, live_server: LiveServer
) -> None:
    page = browser_page_without_scripts
    page.goto(f"{live_server.address}/bins/middle")
    expect(page.get_by_role("img", name="The heap cut through its middle")).to_be_visible()
    assert page.locator("[data-bands='heat'] path[d^='M']").count() >= 1
    expect(page.locator("[data-slider]")).to_be_hidden()
    expect(page.get_by_role("button", name="Water", exact=True)).to_be_hidden()
    page.get_by_text("The numbers behind the picture").click()
    frames = len(_course(live_server).frames)
    for quantity in ("heat", "water"):
        rows = page.locator(f"[data-rows='{quantity}'] tr")
        assert rows.count() == frames
        expect(rows.first).to_be_visible()
        expect(rows.first.locator("th")).to_contain_text("Day 0, ")
    expect(page.locator("[data-rows='heat']")).to_contain_text("Moved to Middle bin")


def test_the_picture_says_in_a_sentence_what_is_seen_and_what_it_is(
    phone: Page, live_server: LiveServer
) -> None:
    _open(phone, live_server)
    seen = phone.locator("[data-seen]").inner_html()
    assert re.fullmatch(
        r"The model's heap cut through its middle, Day \d+, \d\d:\d\d, now: \d+ °F in the core, "
        r"\d+ °F at the edge, \d+ °F at the top, \d+ °F at the foot; it stands \d+ in high\.",
        seen,
    )
    expect(phone.get_by_text("The model's picture, not a measurement.")).to_be_visible()


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("quantity", ["Heat", "Water"])
def test_axe_finds_nothing_whatever_is_shown(
    phone: Page, live_server: LiveServer, quantity: str, scheme: str
) -> None:
    phone.emulate_media(color_scheme=scheme)
    slider = _open(phone, live_server, "left")
    phone.get_by_role("button", name=quantity, exact=True).click()
    slider.focus()
    phone.keyboard.press("End")
    open_all(phone)
    assert axe_findings(phone) == []


@pytest.mark.parametrize("key", ["left", "middle", "right"])
def test_nothing_is_wider_than_the_phone(phone: Page, live_server: LiveServer, key: str) -> None:
    _open(phone, live_server, key)
    open_all(phone)
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390


def test_slider_buttons_and_tables_are_reached_with_the_tabulator(
    phone: Page, live_server: LiveServer
) -> None:
    _open(phone, live_server)
    open_all(phone)
    reached = tab_through(phone)
    for name in ("Heat", "Water", "Earlier", "Now", "Later", "The heap's heat in numbers"):
        assert name in reached
    assert "Moment shown, from the day it was built to the end of the forecast" in reached


def test_a_bin_page_with_a_long_course_stays_small(phone: Page, live_server: LiveServer) -> None:
    with phone.expect_response(f"{live_server.address}/bins/right") as waited:
        _open(phone, live_server, "right")
    assert waited.value.headers["content-encoding"] == "gzip"
    sizes = waited.value.request.sizes()
    assert sizes["responseBodySize"] < 60_000
