"""A reading with one thumb: the pad, what it covers, what is asked at once, the way without."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from playwright.sync_api import Locator, Page, expect

from heapwright.journal.entries import EntryKind
from heapwright.workshop.log import log
from tests.browser.conftest import NOW, LiveServer
from tests.browser.forms import overflow, save, tap_chip, troubles, visit, with_large_text
from tests.conftest import PHONE

HEIGHT = PHONE["viewport"]["height"]  # type: ignore[index]
#: A target for a thumb is at least this high and wide. WCAG 2.2, 2.5.5 (AAA): 44 CSS px.
THUMB_PX = 44
#: What one thumb reaches without a second hand: the lower part of the screen (common practice).
REACH_PX = HEIGHT * 0.45


class Thumb:
    """A thumb that counts its taps, and minds the size and place of all it hits."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.taps = 0

    def tap(self, target: Locator) -> None:
        box = target.bounding_box()
        assert box is not None
        assert box["height"] >= THUMB_PX, box
        assert box["width"] >= THUMB_PX, box
        assert box["y"] >= REACH_PX, f"out of the thumb's reach: {box}"
        assert box["y"] + box["height"] <= HEIGHT, f"below the screen: {box}"
        target.tap()
        self.taps += 1


def key(page: Page, sign: str) -> Locator:
    return page.locator(f'.pad-key[data-key="{sign}"]')


def press(page: Page, signs: str) -> None:
    for sign in signs:
        key(page, sign).tap()


def deed(page: Page, name: str) -> Locator:
    return page.locator(f'.pad-key[data-deed="{name}"]')


def number(page: Page) -> Locator:
    return page.get_by_label("Temperature")


def question(page: Page) -> Locator:
    return page.locator("[data-reading-hint]")


def answers(page: Page) -> list[str]:
    return page.locator("[data-reading-ask] button").all_inner_texts()


def read_before(server: LiveServer, celsius: float, bin_key: str = "left") -> None:
    log(
        server.garden,
        EntryKind.READING,
        {"bin": bin_key, "temperature_c": celsius},
        at=NOW - timedelta(minutes=10),
        origin="page",
    )


@pytest.mark.parametrize("address", ["/b/left", "/log?bin=left"])
def test_a_reading_is_four_taps_from_the_bins_code(
    phone: Page, own_server: LiveServer, address: str
) -> None:
    visit(phone, own_server, address)
    thumb = Thumb(phone)
    for digit in "132":
        thumb.tap(key(phone, digit))
    expect(number(phone)).to_have_value("132")
    with phone.expect_navigation(url=re.compile("/log/saved")):
        thumb.tap(phone.get_by_role("button", name="Save"))
    assert thumb.taps == 4
    expect(phone.locator(".stored")).to_contain_text("Read 132 °F.")
    assert own_server.garden.entries()[-1].body["bin"] == "left"


def test_todays_button_leads_to_the_same_four_taps(phone: Page, own_server: LiveServer) -> None:
    visit(phone, own_server, "/")
    phone.get_by_role("link", name="Log a reading").first.tap()
    phone.wait_for_url(re.compile(r"/log\?bin="))
    expect(phone.locator("#pad")).to_be_visible()
    expect(phone.locator("[name=bin]:checked")).to_have_count(1)


def test_the_pad_never_covers_what_it_writes_into(phone: Page, own_server: LiveServer) -> None:
    read_before(own_server, 58.0)
    visit(phone, own_server, "/log?bin=left")
    for signs in ("", "5", "7"):
        press(phone, signs)
        pad, field = phone.locator(".save-bar").bounding_box(), number(phone).bounding_box()
        assert pad is not None
        assert field is not None
        assert field["y"] >= 0
        assert field["y"] + field["height"] <= pad["y"]
    expect(phone.locator("[data-reading-ask] button")).to_have_count(2)
    for button in phone.locator("[data-reading-ask] button").all():
        box, pad = button.bounding_box(), phone.locator(".save-bar").bounding_box()
        assert box is not None
        assert pad is not None
        assert box["y"] + box["height"] <= pad["y"], "the pad covers an answer"
        assert box["height"] >= THUMB_PX
    assert overflow(phone) == []


def test_the_other_degree_is_settled_before_anything_is_sent(
    phone: Page, own_server: LiveServer
) -> None:
    read_before(own_server, 58.0)
    visit(phone, own_server, "/log?bin=left")
    press(phone, "57")
    expect(question(phone)).to_have_text(
        "57 °F is cool for this heap; 57 °C would be 135 °F. Which?"
    )
    assert answers(phone) == ["57 °F", "57 °C"]
    phone.locator("[data-reading-ask] button", has_text="57 °C").tap()
    expect(phone.locator('[name=unit][value="C"]')).to_be_checked()
    expect(question(phone)).to_have_text("57 °C: taken as it is.")
    save(phone, "Save")
    expect(phone.locator(".stored")).to_contain_text("Read 135 °F.")


def test_what_is_really_so_is_settled_too_and_asked_anew_when_it_changes(
    phone: Page, own_server: LiveServer
) -> None:
    read_before(own_server, 58.0)
    visit(phone, own_server, "/log?bin=left")
    press(phone, "57")
    phone.locator("[data-reading-ask] button", has_text="57 °F").tap()
    expect(phone.locator("form [name=sure]")).to_have_value("F")
    press(phone, "0")
    expect(phone.locator("form [name=sure]")).to_have_count(0)
    deed(phone, "back").tap()
    expect(number(phone)).to_have_value("57")
    expect(phone.locator("[data-reading-ask] button")).to_have_count(2)
    phone.locator("[data-reading-ask] button", has_text="57 °F").tap()
    save(phone, "Save")
    expect(phone.locator(".stored")).to_contain_text("Read 57 °F.")


@pytest.mark.parametrize(
    "signs, unit, said, choices",
    [
        ("158", "C", "No wet heap gets to 158 °C; 158 °F would be 70 °C", ["158 °F"]),
        ("640", "F", "No heap is at 640 °F. Look at the thermometer again.", []),
        ("60", "F", "60 °F is far from the last reading, 183 °F", ["Yes, 60 °F"]),
        ("190", "F", "190 °F is hot enough to scorch. Look for smoke", ["Yes, 190 °F"]),
        ("170", "F", "170 °F is 77 °C.", []),
    ],
)
def test_the_improbable_is_asked_about_at_once(
    phone: Page, own_server: LiveServer, signs: str, unit: str, said: str, choices: list[str]
) -> None:
    read_before(own_server, 84.0)
    visit(phone, own_server, "/log?bin=left")
    if unit != "F":
        tap_chip(phone, "unit", unit)
    press(phone, signs)
    expect(question(phone)).to_contain_text(said)
    assert answers(phone) == choices


def test_the_pad_has_tenths_and_frost_where_they_are_read(
    phone: Page, own_server: LiveServer
) -> None:
    visit(phone, own_server, "/log?bin=left")
    expect(key(phone, ".")).to_be_hidden()
    tap_chip(phone, "unit", "C")
    press(phone, "40.5.")
    expect(number(phone)).to_have_value("40.5")
    deed(phone, "minus").tap()
    expect(number(phone)).to_have_value("-40.5")
    deed(phone, "minus").tap()
    deed(phone, "back").tap()
    deed(phone, "back").tap()
    expect(number(phone)).to_have_value("40")


def test_the_pad_writes_where_the_caret_is(phone: Page, own_server: LiveServer) -> None:
    visit(phone, own_server, "/log?bin=left")
    number(phone).focus()
    phone.keyboard.type("12")
    phone.keyboard.press("ArrowLeft")
    press(phone, "3")
    expect(number(phone)).to_have_value("132")
    deed(phone, "back").tap()
    expect(number(phone)).to_have_value("12")


def test_the_phones_own_keyboard_stays_down_until_it_is_asked_for(
    phone: Page, own_server: LiveServer
) -> None:
    visit(phone, own_server, "/log?bin=left")
    expect(number(phone)).to_have_attribute("inputmode", "none")
    deed(phone, "keyboard").tap()
    expect(phone.locator("#pad")).to_be_hidden()
    expect(number(phone)).to_have_attribute("inputmode", "decimal")
    expect(number(phone)).to_be_focused()
    phone.get_by_label("Note", exact=True).tap()
    number(phone).tap()
    expect(phone.locator("#pad")).to_be_hidden()


def test_the_pad_goes_when_it_is_in_the_way_and_comes_back(
    phone: Page, own_server: LiveServer
) -> None:
    visit(phone, own_server, "/log?bin=left")
    phone.get_by_label("Note", exact=True).tap()
    expect(phone.locator("#pad")).to_be_hidden()
    number(phone).tap()
    expect(phone.locator("#pad")).to_be_visible()
    phone.keyboard.press("Escape")
    expect(phone.locator("#pad")).to_be_hidden()
    number(phone).tap()
    deed(phone, "away").tap()
    expect(phone.locator("#pad")).to_be_hidden()


def test_scrolling_on_puts_the_pad_away_and_coming_back_brings_it(
    phone: Page, own_server: LiveServer
) -> None:
    visit(phone, own_server, "/log?bin=left")
    expect(phone.locator("#pad")).to_be_visible()
    phone.evaluate("window.scrollTo(0, 1500)")
    expect(phone.locator("#pad")).to_be_hidden()
    phone.evaluate("window.scrollTo(0, 0)")
    expect(phone.locator("#pad")).to_be_visible()


def test_a_bin_chosen_by_tap_brings_the_pad(phone: Page, own_server: LiveServer) -> None:
    visit(phone, own_server, "/log")
    expect(phone.locator("#pad")).to_be_hidden()
    tap_chip(phone, "bin", "middle")
    expect(phone.locator("#pad")).to_be_visible()
    press(phone, "95")
    save(phone, "Save")
    assert own_server.garden.entries()[-1].body["bin"] == "middle"


def test_a_screen_reader_finds_a_group_of_buttons_and_hears_the_number(
    phone: Page, own_server: LiveServer
) -> None:
    visit(phone, own_server, "/log?bin=left")
    pad = phone.get_by_role("group", name="Number pad")
    for name in (*"0123456789", "Take the last digit back"):
        expect(pad.get_by_role("button", name=name, exact=True)).to_be_visible()
    own = re.compile("Keys.*use the phone's own keyboard")
    expect(pad.get_by_role("button", name=own)).to_be_visible()
    expect(question(phone)).to_have_attribute("aria-live", "polite")
    press(phone, "131")
    expect(question(phone)).to_have_text("131 °F is 55 °C.")


def test_with_a_keyboard_one_simply_types(phone: Page, own_server: LiveServer) -> None:
    visit(phone, own_server, "/log?bin=left")
    number(phone).focus()
    phone.keyboard.type("13")
    phone.keyboard.press("Tab")
    assert phone.evaluate("document.activeElement.name") == "unit"
    phone.keyboard.press("Shift+Tab")
    phone.keyboard.press("End")
    phone.keyboard.type("3")
    phone.keyboard.press("Enter")
    phone.wait_for_url(re.compile("/log/saved"))
    expect(phone.locator(".stored")).to_contain_text("Read 133 °F.")


def test_the_log_with_its_pad_and_question_has_no_trouble(
    phone: Page, own_server: LiveServer
) -> None:
    read_before(own_server, 58.0)
    visit(phone, own_server, "/log?bin=left")
    press(phone, "57")
    expect(phone.locator("[data-reading-ask] button")).to_have_count(2)
    assert troubles(phone) == []
    assert with_large_text(phone) == []


def test_todays_job_is_logged_with_two_taps(phone: Page, own_server: LiveServer) -> None:
    visit(phone, own_server, "/")
    before = len(own_server.garden.entries())
    phone.get_by_role("link", name="Done so").first.tap()
    phone.wait_for_url(re.compile(r"/log\?bin="))
    expect(phone.get_by_role("heading", name="Filled in as Today said")).to_be_visible()
    expect(phone.locator("#pad")).to_be_hidden()
    expect(number(phone)).to_have_value("")
    assert troubles(phone) == []
    save(phone, "Save")
    expect(phone.get_by_role("heading", level=1)).to_have_text("Saved")
    assert len(own_server.garden.entries()) > before


def test_every_choice_is_a_target_for_a_thumb(phone: Page, live_server: LiveServer) -> None:
    visit(phone, live_server, "/log?bin=left")
    phone.evaluate("for (const it of document.querySelectorAll('details')) it.open = true")
    small = phone.evaluate(
        f"""[...document.querySelectorAll('.log-form :is(label.chip, button, summary)')]
        .filter(it => it.offsetParent && getComputedStyle(it).visibility !== 'hidden')
        .filter(it => it.getBoundingClientRect().height < {THUMB_PX}
                   || it.getBoundingClientRect().width < {THUMB_PX})
        .map(it => it.innerText)"""
    )
    assert small == []


def test_water_is_one_tap_or_written_never_both(phone: Page, own_server: LiveServer) -> None:
    visit(phone, own_server, "/log?bin=left")
    tap_chip(phone, "water_tap", "pail:1")
    phone.get_by_text("Another amount of water").tap()
    phone.get_by_label("Amount of water").fill("3")
    expect(phone.locator("[name=water_tap]:checked")).to_have_count(0)
    tap_chip(phone, "water_tap", "pail:2")
    expect(phone.get_by_label("Amount of water")).to_have_value("")
    save(phone, "Save")
    wetted = own_server.garden.entries()[-1]
    assert wetted.kind is EntryKind.WET
    assert round(float(wetted.body["water_kg"]), 1) == 37.9


def test_an_old_code_says_kindly_that_the_bin_is_gone(phone: Page, live_server: LiveServer) -> None:
    visit(phone, live_server, "/b/shed")
    expect(phone.get_by_role("heading", level=1)).to_have_text("No bin has this code")
    assert troubles(phone) == []
    phone.get_by_role("link", name="Middle bin").tap()
    phone.wait_for_url(re.compile("bin=middle"))
