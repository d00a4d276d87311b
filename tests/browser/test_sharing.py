"""A shared garden on a phone: the door, a helper logs, a keeper's page is asked for, and out."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

import pytest
import uvicorn
from playwright.sync_api import Page, expect

from heapwright.journal.entries import EntryKind
from heapwright.web.server import take_port
from heapwright.web.trust import Trust
from heapwright.workshop.log import log
from tests.browser.conftest import axe_findings, open_all, tab_through
from tests.laws.journal_cases import FILL
from tests.shared_house import ANN, HAL, NOW, OURS, SECRETS, House, shared_house

BIN = "quince-bin"


@dataclass(frozen=True)
class SharedServer:
    """The shared program, answering."""

    address: str
    house: House


@pytest.fixture
def shared(tmp_path: Path) -> Iterator[SharedServer]:
    listening = take_port(0)
    with shared_house(tmp_path) as house:
        heap = {"batch": "heap", "name": "Quince heap", "bin": BIN, "fill": FILL}
        ours = house.gardens[OURS]
        log(ours, EntryKind.BUILD, heap, at=NOW - timedelta(days=300), origin="page")
        house.app.state.trust = Trust(b"not a real certificate", 8055)
        server = uvicorn.Server(uvicorn.Config(house.app, log_config=None, access_log=False))
        thread = threading.Thread(target=server.run, args=([listening],), daemon=True)
        thread.start()
        while not server.started:
            assert thread.is_alive(), "the server did not start"
            time.sleep(0.01)
        yield SharedServer(f"http://127.0.0.1:{listening.getsockname()[1]}", house)
        server.should_exit = True
        thread.join()
    listening.close()


def sign_in(phone: Page, name: str) -> None:
    """Fill in the sign-in that is open, and go on."""
    phone.get_by_label("Name").fill(name)
    phone.get_by_label("Passphrase").fill(SECRETS[name])
    phone.get_by_role("button", name="Sign in").click()


def test_a_helper_signs_in_logs_and_is_told_kindly_what_a_keeper_does(
    phone: Page, shared: SharedServer
) -> None:
    phone.goto(f"{shared.address}/log?bin={BIN}")
    expect(phone.get_by_role("heading", name="Sign in")).to_be_visible()
    assert "Quince" not in phone.content()
    sign_in(phone, HAL)

    phone.wait_for_url(f"**/log?bin={BIN}")
    expect(phone.get_by_role("link", name="Signed in as Hal Ash")).to_be_visible()
    phone.get_by_label("Temperature", exact=False).first.fill("131")
    phone.get_by_role("button", name="Save", exact=False).first.click()
    phone.wait_for_url("**/log/saved?**")
    reading = shared.house.gardens[OURS].entries()[-1]
    assert (reading.kind, reading.author) == (EntryKind.READING, HAL)

    phone.goto(f"{shared.address}/bins/{BIN}")
    open_all(phone)
    expect(phone.locator(".story")).to_contain_text("Hal Ash")

    phone.get_by_role("navigation").get_by_role("link", name="Build").click()
    words = phone.get_by_role("alert")
    expect(words).to_contain_text("A keeper does this, and you are here as a helper")
    expect(words).not_to_contain_text("error")
    assert axe_findings(phone) == []

    phone.get_by_role("link", name="Signed in as Hal Ash").click()
    phone.get_by_role("button", name="Sign out on this phone").click()
    expect(phone.get_by_role("heading", name="Signed out")).to_be_visible()
    phone.goto(f"{shared.address}/bins/{BIN}")
    expect(phone.get_by_role("heading", name="Sign in")).to_be_visible()


def test_a_wrong_passphrase_is_said_and_the_name_stays(phone: Page, shared: SharedServer) -> None:
    phone.goto(shared.address)
    phone.get_by_label("Name").fill(HAL)
    phone.get_by_label("Passphrase").fill("this is not it")
    phone.get_by_role("button", name="Sign in").click()
    expect(phone.get_by_role("alert")).to_contain_text("do not go together")
    expect(phone.get_by_label("Name")).to_have_value(HAL)
    expect(phone.get_by_label("Passphrase")).to_have_value("")
    expect(phone.get_by_label("Passphrase")).to_be_focused()


def test_an_owner_lets_somebody_in_by_keyboard(phone: Page, shared: SharedServer) -> None:
    phone.goto(f"{shared.address}/people")
    sign_in(phone, ANN)
    phone.wait_for_url("**/people")
    reached = tab_through(phone)
    assert "Let them in" in reached
    phone.get_by_role("textbox", name="Name").fill("Bo Birch")
    phone.get_by_label("New passphrase").last.fill("rain on a tin roof")
    phone.get_by_label("The same once more").last.fill("rain on a tin roof")
    phone.get_by_label("The same once more").last.press("Enter")
    phone.wait_for_url("**/people?done=added")
    assert shared.house.people.proved("Bo Birch", "rain on a tin roof") is not None


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("path", ["/sign-in", "/trust", "/people", "/you", "/build"])
def test_pages_of_people_are_for_everyone(
    phone: Page, shared: SharedServer, path: str, scheme: str
) -> None:
    phone.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
    phone.goto(shared.address)
    if path != "/sign-in":
        sign_in(phone, HAL if path == "/build" else ANN)
        phone.wait_for_url(f"{shared.address}/")
        phone.goto(f"{shared.address}{path}")
    open_all(phone)
    assert axe_findings(phone) == []
    wide = phone.evaluate("document.documentElement.scrollWidth")
    assert wide <= 390, f"{path} is {wide} wide on a phone of 390"


def test_what_was_typed_while_signed_out_is_sent_again(
    browser_page_without_scripts: Page, shared: SharedServer
) -> None:
    page = browser_page_without_scripts
    page.goto(f"{shared.address}/log?bin={BIN}")
    sign_in(page, HAL)
    page.get_by_label("Temperature", exact=False).first.fill("131")
    hal = shared.house.people.known(HAL)
    assert hal is not None
    from heapwright.people import sign_ins

    sign_ins.end_all(shared.house.people, hal.id)
    page.get_by_role("button", name="Save", exact=False).first.click()
    expect(page.get_by_text("is not stored yet")).to_be_visible()
    sign_in(page, HAL)
    page.get_by_role("button", name="Send it now").click()
    page.wait_for_url("**/log/saved?**")
    assert shared.house.gardens[OURS].entries()[-1].kind is EntryKind.READING
