"""Logging with no network: kept at once, said plainly, taken back or changed, sent by itself."""

from __future__ import annotations

import gzip
import re
from collections.abc import Iterator
from datetime import timedelta
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Page, expect

from heapwright.journal.entries import Entry, EntryKind
from heapwright.workshop.log import log
from tests.browser.conftest import NOW, LiveServer
from tests.browser.forms import save, troubles, visit, with_large_text
from tests.conftest import PHONE, THIS_MACHINE

MOST_SCRIPTS_BYTES = 60_000  # of one page, packed; the number of issue 5


@pytest.fixture
def walker(browser: Browser) -> Iterator[Page]:
    """A phone that may lose its network: what cannot be fetched then is no fault."""
    context = browser.new_context(**PHONE)
    context.set_default_timeout(20_000)
    expect.set_options(timeout=20_000)
    yield context.new_page()
    expect.set_options(timeout=5_000)
    context.close()


def since(server: LiveServer, before: int) -> list[Entry]:
    return list(server.garden.entries()[before:])


def log_away(page: Page, server: LiveServer, number: str, path: str = "/log?bin=left") -> None:
    """Fill in a temperature on an open Log page with no network, and save it."""
    if urlsplit(page.url).path != "/log":
        visit(page, server, path)
    page.context.set_offline(True)
    page.get_by_label("Temperature").first.fill(number)
    page.get_by_role("button", name="Save").first.tap()
    expect(page.locator("[data-kept-list] li").first).to_be_visible()


def come_back(page: Page) -> None:
    """Reach the house again and wait until it has everything."""
    page.context.set_offline(False)
    expect(page.locator("[data-phone-short]")).to_contain_text("Last arrived")


def test_without_network_it_is_kept_said_and_sent_by_itself(
    walker: Page, own_server: LiveServer
) -> None:
    before = len(own_server.garden.entries())
    log_away(walker, own_server, "137")
    kept = walker.locator("#kept")
    expect(kept).to_contain_text("Kept on this phone")
    expect(kept).to_contain_text("The house is not reached")
    expect(kept).to_contain_text("Left bin: 137 °F")
    expect(walker.locator("[data-phone-short]")).to_have_text("1 waits here")
    expect(walker.get_by_label("Temperature").first).to_have_value("")
    assert since(own_server, before) == []
    come_back(walker)
    (entry,) = since(own_server, before)
    assert entry.kind is EntryKind.READING
    assert round(float(entry.body["temperature_c"]), 1) == 58.3


def test_each_bin_gets_an_entry_of_its_own(walker: Page, own_server: LiveServer) -> None:
    before = len(own_server.garden.entries())
    log_away(walker, own_server, "137")
    log_away(walker, own_server, "138")
    expect(walker.locator("[data-phone-short]")).to_have_text("2 wait here")
    come_back(walker)
    assert len(since(own_server, before)) == 2


def test_what_waits_can_be_taken_back_and_brought_back(
    walker: Page, own_server: LiveServer
) -> None:
    before = len(own_server.garden.entries())
    log_away(walker, own_server, "137")
    walker.get_by_role("button", name="Take it back").tap()
    expect(walker.locator("[data-kept-now]")).to_contain_text("Left bin: 137 °F")
    expect(walker.locator("[data-kept-list] li")).to_have_count(0)
    walker.get_by_role("button", name="Bring it back").tap()
    expect(walker.locator("[data-kept-list] li")).to_have_count(1)
    walker.get_by_role("button", name="Take it back").tap()
    expect(walker.locator("[data-kept-list] li")).to_have_count(0)
    walker.context.set_offline(False)
    visit(walker, own_server, "/phone")
    expect(walker.get_by_text("Nothing waits.")).to_be_visible()
    assert since(own_server, before) == []


def test_what_waits_can_be_changed_before_it_is_sent(walker: Page, own_server: LiveServer) -> None:
    before = len(own_server.garden.entries())
    log_away(walker, own_server, "137")
    address = walker.get_by_role("link", name="Change it").get_attribute("href")
    walker.route(re.compile("/log$"), lambda route: route.abort())  # the house stays out of reach
    walker.context.set_offline(False)
    visit(walker, own_server, str(address))
    field = walker.get_by_label("Temperature").first
    expect(field).to_have_value("137")
    field.fill("139")
    walker.get_by_role("button", name="Save").first.tap()
    expect(walker.locator("[data-kept-list]")).to_contain_text("Left bin: 139 °F")
    expect(walker.locator("[data-kept-list] li")).to_have_count(1)
    walker.unroute_all()
    visit(walker, own_server, "/phone")
    expect(walker.locator('[data-list="arrived"]')).to_contain_text("Read 139 °F.")
    assert len(since(own_server, before)) == 1


def test_what_the_house_refuses_stays_with_its_reason_until_mended(
    walker: Page, own_server: LiveServer
) -> None:
    before = len(own_server.garden.entries())
    log_away(walker, own_server, "hot")
    walker.context.set_offline(False)
    expect(walker.locator("[data-phone-short]")).to_have_text("1 needs you")
    visit(walker, own_server, "/phone")
    looks = walker.locator('[data-list="looks"]')
    expect(looks).to_contain_text('"hot" is not a number')
    assert troubles(walker) == []
    looks.get_by_role("link", name="Change it").tap()
    walker.get_by_label("Temperature").first.fill("141")
    save(walker, "Save")
    expect(walker.locator(".stored")).to_contain_text("Read 141 °F.")
    expect(walker.locator("[data-phone-short]")).to_contain_text("Last arrived")
    assert len(since(own_server, before)) == 1


def test_a_scorching_reading_shows_the_fires_caution_without_network(
    walker: Page, own_server: LiveServer
) -> None:
    log_away(walker, own_server, "190")
    expect(walker.locator("#kept")).to_contain_text("Do not open a smoking or scorched heap")
    expect(walker.locator("[data-kept-question]")).to_contain_text("190 °F")


def test_an_unanswered_question_is_answered_on_the_phone(
    walker: Page, own_server: LiveServer
) -> None:
    body = {"bin": "left", "temperature_c": 70.0}
    at = NOW - timedelta(minutes=10)
    log(own_server.garden, EntryKind.READING, body, at=at, origin="page")
    before = len(own_server.garden.entries())
    log_away(walker, own_server, "70")  # 21 °C for a hot heap; as 70 °C it would be plain
    question = walker.locator("[data-kept-question]")
    question.get_by_role("button", name="°F").tap()
    expect(question).to_be_hidden()
    come_back(walker)
    (entry,) = since(own_server, before)
    assert round(float(entry.body["temperature_c"])) == 21


def test_a_sign_in_that_ran_out_leaves_the_entry_waiting(
    walker: Page, own_server: LiveServer
) -> None:
    visit(walker, own_server, "/log?bin=left")
    walker.route(re.compile("/log$"), lambda route: route.fulfill(status=401, json={"detail": ""}))
    walker.get_by_label("Temperature").first.fill("137")
    walker.get_by_role("button", name="Save").first.tap()
    expect(walker.locator("[data-kept-now]")).to_contain_text("until you sign in")
    walker.unroute_all()
    visit(walker, own_server, "/phone")
    expect(walker.locator('[data-list="arrived"]')).to_contain_text("Read 137 °F.")


def test_what_was_written_for_another_garden_waits_and_says_so(
    walker: Page, own_server: LiveServer
) -> None:
    before = len(own_server.garden.entries())
    visit(walker, own_server, "/log?bin=left")
    walker.locator("form[data-queue]").evaluate("it => { it.dataset.garden = '0123456789abcdef' }")
    walker.get_by_label("Temperature").first.fill("137")
    walker.get_by_role("button", name="Save").first.tap()
    expect(walker.locator("[data-kept-now]")).to_contain_text("written for another garden")
    expect(walker.locator("[data-phone-short]")).to_have_text("1 waits here")
    assert since(own_server, before) == []


def test_where_nothing_can_be_kept_the_form_goes_as_it_is(
    walker: Page, own_server: LiveServer
) -> None:
    walker.add_init_script("indexedDB.open = () => { throw new Error('no store'); };")
    visit(walker, own_server, "/log?bin=left")
    expect(walker.get_by_text("This browser keeps nothing here")).to_be_visible()
    walker.get_by_label("Temperature").first.fill("137")
    save(walker, "Save")
    expect(walker.locator(".stored")).to_contain_text("Read 137 °F.")


def test_the_kept_panel_has_no_trouble(walker: Page, own_server: LiveServer) -> None:
    log_away(walker, own_server, "190")
    assert troubles(walker) == []
    assert with_large_text(walker) == []


def test_the_page_of_this_phone_has_no_trouble(phone: Page, live_server: LiveServer) -> None:
    visit(phone, live_server, "/phone")
    assert troubles(phone) == []
    assert with_large_text(phone) == []


@pytest.mark.parametrize("path", ["/", "/log?bin=left", "/bins/left", "/phone", "/build/right"])
def test_scripts_of_a_page_are_light_and_its_own(
    phone: Page, live_server: LiveServer, path: str
) -> None:
    scripts: dict[str, int] = {}
    hosts = set()

    def note(response: object) -> None:
        address = response.url  # type: ignore[attr-defined]
        hosts.add(urlsplit(address).hostname)
        if address.endswith(".js"):
            scripts[address] = len(gzip.compress(response.body(), 6))  # type: ignore[attr-defined]

    phone.on("response", note)
    visit(phone, live_server, path)
    assert scripts
    assert sum(scripts.values()) <= MOST_SCRIPTS_BYTES, scripts
    assert hosts <= THIS_MACHINE
