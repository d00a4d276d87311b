"""What else could be done, on a phone: every option with its gain in words, not by colour alone."""

from __future__ import annotations

import pytest
from playwright.sync_api import Locator, Page, expect

from heapwright.sentences import Reader, render
from heapwright.workshop.today import bin_today
from heapwright.workshop.whatif import what_if_in
from tests.browser.conftest import LiveServer, axe_findings, open_all

SCHEMES = ("light", "dark")
NAME = "What else could be done"


def section_of(phone: Page, server: LiveServer, key: str = "left") -> Locator:
    phone.goto(f"{server.address}/bins/{key}", wait_until="networkidle")
    return phone.get_by_role("region", name=NAME)


def test_each_option_says_its_gain_beside_its_bar(phone: Page, live_server: LiveServer) -> None:
    section = section_of(phone, live_server)
    answer = what_if_in(live_server.garden, "left")
    options = section.locator(".option")
    expect(options).to_have_count(len(answer.rows))
    for place, row in enumerate(answer.rows):
        option = options.nth(place)
        expect(option).to_contain_text(render(row.headline, Reader()))
        expect(option).to_contain_text(render(row.gain, Reader()))
        expect(option.locator(".gain-bar")).to_have_attribute("aria-hidden", "true")


def test_chosen_option_is_told_in_words(phone: Page, live_server: LiveServer) -> None:
    section = section_of(phone, live_server)
    chosen = section.locator(".option-chosen")
    expect(chosen).to_have_count(1)
    expect(chosen).to_contain_text("best by the model")


def test_card_says_how_clear_the_choice_is(phone: Page, live_server: LiveServer) -> None:
    phone.goto(live_server.address, wait_until="networkidle")
    said = bin_today(live_server.garden, "left").advice.confidence[0]
    expect(phone.locator(".bin-card").first).to_contain_text(render(said, Reader()))


def test_what_cannot_be_done_is_told_with_its_reason(phone: Page, live_server: LiveServer) -> None:
    section = section_of(phone, live_server)
    section.get_by_text("What cannot be done now, and why").click()
    for one in what_if_in(live_server.garden, "left").not_possible:
        expect(section).to_contain_text(render(one.reason, Reader()))


def test_details_open_by_the_keyboard(phone: Page, live_server: LiveServer) -> None:
    section = section_of(phone, live_server)
    summary = section.get_by_text("Every number", exact=True)
    summary.focus()
    phone.keyboard.press("Enter")
    table = section.get_by_role("table")
    expect(table).to_be_visible()
    rows = what_if_in(live_server.garden, "left").rows
    expect(table.locator("tbody tr")).to_have_count(len(rows))


def test_a_rule_that_goes_first_is_named_above(phone: Page, live_server: LiveServer) -> None:
    section = section_of(phone, live_server, "right")  # it is to be tested
    stands = what_if_in(live_server.garden, "right").stands_before
    assert stands is not None
    expect(section.locator(".plate")).to_contain_text(render(stands, Reader()))


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("key", ["left", "middle", "right"])
def test_section_is_within_the_phone_and_axe_finds_nothing(
    phone: Page, live_server: LiveServer, scheme: str, key: str
) -> None:
    phone.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
    section_of(phone, live_server, key)
    open_all(phone)
    wide = phone.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    assert wide <= 0
    assert axe_findings(phone) == []
