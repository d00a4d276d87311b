"""The page of probes on a phone: entering one, its token shown once, moving, withdrawing."""

from __future__ import annotations

import re

import httpx
import pytest
from playwright.sync_api import Page, expect

from heapwright.probes.types import Report
from heapwright.workshop import probes
from heapwright.workshop.probe_receive import receive
from tests.browser.conftest import LiveServer, axe_findings, open_all, tab_through


def enter(phone: Page, server: LiveServer, name: str) -> None:
    phone.goto(f"{server.address}/probes")
    phone.get_by_label("Its name").fill(name)
    phone.get_by_role("button", name="Enter it and show its token").click()


def test_a_probe_is_entered_its_token_works_and_is_shown_once(
    phone: Page, own_server: LiveServer
) -> None:
    enter(phone, own_server, "Core left")
    token = phone.get_by_label("Token", exact=True).inner_text().strip()
    address = f"{own_server.address}/api/probes/core-left/readings"
    sent = httpx.post(
        address, json={"temperature_c": 57.5}, headers={"Authorization": f"Bearer {token}"}
    )
    assert sent.json()["stored"] == 1
    phone.goto(f"{own_server.address}/probes")
    expect(phone.get_by_role("article", name="Core left")).to_contain_text("136 °F")
    assert token not in phone.content()


def test_moving_is_one_tap_and_can_be_undone(phone: Page, own_server: LiveServer) -> None:
    enter(phone, own_server, "Core left")
    card = phone.get_by_role("article", name="Core left")
    card.get_by_role("button", name="Right bin").click()
    expect(phone.locator(".told-done")).to_contain_text("Probe Core left is in Right bin.")
    state = own_server.garden.state()
    assert state.bins[state.probes["core-left"].bin_key].name == "Right bin"
    card.get_by_text("Token, withdraw").click()
    card.get_by_role("button", name=re.compile("Withdraw")).click()
    expect(phone.locator(".told-done")).to_contain_text("Probe Core left is withdrawn.")
    phone.get_by_role("button", name=re.compile("Undo")).click()
    assert own_server.garden.state().probes["core-left"].in_use


def test_a_mistake_stands_beside_its_field(phone: Page, own_server: LiveServer) -> None:
    phone.goto(f"{own_server.address}/probes")
    phone.get_by_label("Depth of its tip").fill("40 ft")
    phone.get_by_role("button", name="Enter it and show its token").click()
    expect(phone.get_by_text("Its name is missing")).to_be_visible()
    assert own_server.garden.state().probes == {}


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_page_is_for_everyone(phone: Page, own_server: LiveServer, scheme: str) -> None:
    garden = own_server.garden
    bin_key = next(iter(garden.state().bins))
    probes.add_probe(garden, "Core left", bin_key, origin="page")
    receive(garden, "core-left", [Report(55.0), Report(-127.0)])
    phone.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
    enter(phone, own_server, "Another probe")
    open_all(phone)
    assert axe_findings(phone) == []
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390
    reached = " ".join(tab_through(phone))
    for words in ("Withdraw Core left", "Make a new token for Core left", "Enter it and show"):
        assert words in reached
