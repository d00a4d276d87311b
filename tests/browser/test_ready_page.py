"""Ready or not on a phone: the answer, tests step by step, results stored, corrected, undone."""

from __future__ import annotations

import pytest
from playwright.sync_api import Locator, Page, expect

from heapwright.finish.guides import load_guides
from heapwright.sentences import Reader, render
from heapwright.workshop.ready import ready
from heapwright.workshop.setup import save_bin
from tests.browser.conftest import LiveServer, axe_findings, open_all, tab_through

SCHEMES = ("light", "dark")


def _open(phone: Page, server: LiveServer, key: str = "right") -> None:
    phone.goto(f"{server.address}/bins/{key}/ready", wait_until="networkidle")


def _card(phone: Page, procedure: str) -> Locator:
    card = phone.locator(f"#test-{procedure}")
    if card.get_attribute("open") is None:
        card.locator("summary").first.click()
    return card


def test_the_bin_page_answers_in_short_and_leads_to_the_tests(
    phone: Page, live_server: LiveServer
) -> None:
    phone.goto(f"{live_server.address}/bins/right", wait_until="networkidle")
    section = phone.get_by_role("region", name="Ready or not")
    answer = ready(live_server.garden, "right")
    expect(section.get_by_text(render(answer.headline, Reader()))).to_be_visible()
    for caution in answer.cautions:
        expect(section.get_by_text(caution.template)).to_be_visible()
    section.get_by_role("link", name="Tests, step by step").click()
    expect(phone).to_have_url(f"{live_server.address}/bins/right/ready")


def test_today_leads_to_the_tests_where_testing_is_the_job(
    phone: Page, live_server: LiveServer
) -> None:
    phone.goto(live_server.address, wait_until="networkidle")
    card = phone.locator("article", has=phone.get_by_role("heading", name="Right bin"))
    card.get_by_role("link", name="Tests, step by step").click()
    expect(phone.get_by_role("heading", name="Ready or not")).to_be_visible()


def test_every_test_has_its_steps_with_cautions_beside_them(
    phone: Page, live_server: LiveServer
) -> None:
    _open(phone, live_server)
    open_all(phone)
    for procedure, guide in load_guides().items():
        card = phone.locator(f"#test-{procedure}")
        expect(card.locator(".steps li")).to_have_count(len(guide.steps))
        for caution in guide.cautions:
            expect(card.locator(".cautions").get_by_text(caution)).to_be_visible()
    memory = phone.locator("#test-self-heating")
    expect(memory).to_contain_text("(not confirmed)")


def test_a_result_is_stored_counted_and_taken_back(phone: Page, own_server: LiveServer) -> None:
    _open(phone, own_server)
    card = _card(phone, "bag")
    card.get_by_label("How many days it took").fill("6")
    card.get_by_role("radio", name="Earthy").check()
    card.get_by_role("button", name="Save the result").click()
    phone.wait_for_load_state("networkidle")
    stored = phone.get_by_role("status", name="Stored just now")
    expect(stored).to_contain_text("Sealed-bag smell, passed")
    expect(phone.get_by_text("Ready for mulch")).to_be_visible()
    expect(phone.locator("#test-radish-pot")).to_have_attribute("open", "")
    stored.get_by_role("button", name="Undo").click()
    _open(phone, own_server)
    expect(phone.get_by_text("Ready for mulch")).to_have_count(0)


def test_a_mistake_is_told_beside_its_field_and_nothing_is_lost(
    phone: Page, own_server: LiveServer
) -> None:
    _open(phone, own_server)
    card = _card(phone, "radish-pot")
    card.get_by_label("Seeds sown", exact=True).fill("12")
    card.get_by_label("Seeds up and growing").fill("13")
    card.get_by_role("button", name="Save the result").click()
    phone.wait_for_load_state("networkidle")
    card = phone.locator("#test-radish-pot")
    wrong = card.get_by_label("Seeds up and growing")
    expect(wrong).to_be_focused()
    expect(wrong).to_have_attribute("aria-invalid", "true")
    expect(card.get_by_text("It cannot be more than seeds sown")).to_be_visible()
    expect(card.get_by_label("Seeds sown", exact=True)).to_have_value("12")
    assert not ready(own_server.garden, "right").done
    wrong.fill("10")
    card.get_by_role("button", name="Save the result").click()
    expect(phone.get_by_role("status", name="Stored just now")).to_contain_text("10 of 12")
    phone.reload(wait_until="networkidle")
    assert len(ready(own_server.garden, "right").done) == 1


def test_an_empty_form_says_what_is_missing(phone: Page, own_server: LiveServer) -> None:
    _open(phone, own_server)
    _card(phone, "bag").get_by_role("button", name="Save the result").click()
    phone.wait_for_load_state("networkidle")
    expect(phone.locator("#test-bag").get_by_text("Smell is missing").first).to_be_visible()


def test_screening_puts_the_leftovers_on_the_stock_list(
    phone: Page, own_server: LiveServer
) -> None:
    _open(phone, own_server)
    open_all(phone)
    form = phone.get_by_role("form", name="Screening")
    form.get_by_label("Went through").fill("3 pails")
    form.get_by_label("Kept back").fill("1 pail")
    form.get_by_role("button", name="Save the screening").click()
    expect(phone.get_by_role("status", name="Stored just now")).to_contain_text("kept back")
    phone.goto(f"{own_server.address}/stock", wait_until="networkidle")
    expect(phone.get_by_text("Screened-out coarse compost").first).to_be_visible()


def test_the_forms_work_without_scripts(
    browser_page_without_scripts: Page, own_server: LiveServer
) -> None:
    page = browser_page_without_scripts
    page.goto(f"{own_server.address}/bins/right/ready")
    card = _card(page, "look")
    for name in ("Is it dark?", "Is it crumbly?"):
        card.get_by_role("radiogroup", name=name).get_by_role("radio", name="Yes").check()
    food = card.get_by_role("radiogroup", name="Can food still be made out?")
    food.get_by_role("radio", name="No").check()
    card.get_by_role("radio", name="About half").check()
    card.get_by_role("button", name="Save the result").click()
    expect(page.get_by_role("status", name="Stored just now")).to_contain_text("50 % of it left")


def test_the_keyboard_reaches_every_test_and_the_fields_of_the_open_one(
    phone: Page, live_server: LiveServer
) -> None:
    _open(phone, live_server)
    reached = " | ".join(tab_through(phone))
    for guide in load_guides().values():
        assert guide.name in reached
    assert "Save the result" in reached


def test_an_empty_or_unknown_bin_has_no_such_page(phone: Page, empty_server: LiveServer) -> None:
    save_bin(
        empty_server.garden, name="Left", width_m=0.9, depth_m=0.9, height_m=0.9, origin="page"
    )
    _open(phone, empty_server, "left")
    expect(phone.get_by_text("Left is empty")).to_be_visible()
    _open(phone, empty_server, "north")
    expect(phone.get_by_text('No bin is called "north"')).to_be_visible()


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("zoom", [1, 2])
def test_axe_finds_nothing_and_nothing_sticks_out(
    phone: Page, live_server: LiveServer, scheme: str, zoom: int
) -> None:
    phone.set_viewport_size({"width": 390 // zoom, "height": 844 // zoom})
    phone.emulate_media(color_scheme=scheme)
    _open(phone, live_server)
    open_all(phone)
    assert axe_findings(phone) == []
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390 // zoom
