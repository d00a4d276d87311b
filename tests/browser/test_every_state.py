"""Cards and pictures in states the invented garden is not in: danger, no reading, no forecast."""

from __future__ import annotations

from dataclasses import replace

import pytest
from playwright.sync_api import Page, expect

from heapwright.web import routes_bin, routes_today
from tests.browser import heat_samples, samples
from tests.browser.conftest import LiveServer, axe_findings, open_all

SCHEMES = ("light", "dark")


@pytest.fixture(autouse=True)
def paper_heat(monkeypatch: pytest.MonkeyPatch, live_server: LiveServer) -> None:
    """Bins that are on paper only borrow the rest of their page from heaps that are there."""
    monkeypatch.setattr(routes_bin, "proof_of", lambda garden, key: heat_samples.heat_proof())
    for name in ("ready_of", "what_if_in", "taught_of"):
        answers = getattr(routes_bin, name)(live_server.garden, "right")
        monkeypatch.setattr(routes_bin, name, lambda garden, key, answers=answers: answers)


@pytest.fixture
def paper_garden(live_server: LiveServer, monkeypatch: pytest.MonkeyPatch) -> str:
    """The address of the program with hand-made answers behind it."""
    shown = {one.bin.key: one for one in samples.today_answer().bins}
    monkeypatch.setattr(routes_today, "today", lambda garden: samples.today_answer())
    monkeypatch.setattr(
        routes_bin, "bin_answer", lambda garden, key: samples.bin_answer(shown[key])
    )
    monkeypatch.setattr(
        routes_bin, "heap_course", lambda garden, key: samples.heap_course(shown[key])
    )
    return live_server.address


@pytest.mark.parametrize("scheme", SCHEMES)
def test_axe_finds_nothing_on_cards_of_every_sort(
    phone: Page, paper_garden: str, scheme: str
) -> None:
    phone.emulate_media(color_scheme=scheme)
    phone.goto(paper_garden + "/")
    open_all(phone)
    assert axe_findings(phone) == []


def test_danger_is_framed_and_an_empty_bin_can_be_built(phone: Page, paper_garden: str) -> None:
    phone.goto(paper_garden + "/")
    burning = phone.get_by_role("article", name="Bin 4")
    expect(burning.locator(".task-stand-back")).to_have_css("border-top-width", "4px")
    expect(burning.get_by_text("A reading looks wrong")).to_be_visible()
    empty = phone.get_by_role("article", name="Bin 3")
    expect(empty.get_by_role("link", name="Build here")).to_have_attribute(
        "href", "/build?bin=bin-3"
    )
    expect(empty.get_by_role("link", name="Log a reading")).to_have_count(0)
    expect(phone.get_by_role("article", name="Bin 5").get_by_text("No reading yet")).to_be_visible()


def test_cautions_are_seen_without_opening_anything(phone: Page, paper_garden: str) -> None:
    phone.goto(paper_garden + "/")
    card = phone.get_by_role("article", name="Bin 2")
    expect(card.get_by_text("Take care")).to_be_visible()
    expect(card.get_by_text("wear a mask that fits")).to_be_visible()
    expect(card.get_by_text("End with a cap of brown")).to_be_visible()


def test_an_old_reading_does_not_stand_for_today(
    phone: Page, live_server: LiveServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    answer = samples.today_answer()
    old = samples.bin_today(1, last_reading=samples.reading(58.3, hours_ago=24.0 * 12))
    monkeypatch.setattr(routes_today, "today", lambda garden: replace(answer, bins=(old,)))
    phone.goto(live_server.address + "/")
    expect(phone.get_by_text("12 days ago")).to_be_visible()
    expect(phone.locator(".number")).to_have_class("number number-old")
    expect(phone.locator(".strip")).to_have_class("strip heat-none")


@pytest.mark.parametrize("wall", ["wire", "pallets", "blocks", "none"])
def test_every_wall_is_drawn_and_passes_axe(
    phone: Page, live_server: LiveServer, monkeypatch: pytest.MonkeyPatch, wall: str
) -> None:
    shown = samples.bin_today(1, bin=samples.bin_state(1, wall=wall))
    monkeypatch.setattr(routes_bin, "bin_answer", lambda garden, key: samples.bin_answer(shown))
    monkeypatch.setattr(routes_bin, "heap_course", lambda garden, key: samples.heap_course(shown))
    phone.goto(live_server.address + "/bins/right")
    walls = phone.locator(".cut-wall, .cut-wall-thin").count()
    assert (walls == 0) == (wall == "none")
    open_all(phone)
    assert axe_findings(phone) == []


def test_a_bin_without_a_model_still_shows_its_job_and_story(
    phone: Page, live_server: LiveServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = samples.bin_answer(samples.bin_today(1, forecast=None))
    bare = replace(
        whole,
        cross_section=None,
        heat_share=None,
        moisture=None,
        degradable_left=None,
        volume_m3=None,
    )
    monkeypatch.setattr(routes_bin, "bin_answer", lambda garden, key: bare)
    monkeypatch.setattr(routes_bin, "heap_course", lambda garden, key: None)
    phone.goto(live_server.address + "/bins/right")
    expect(phone.locator(".task-words")).to_be_visible()
    expect(phone.get_by_role("heading", name="What was done and read")).to_be_visible()
    expect(phone.locator(".curve")).to_have_count(0)
    expect(phone.locator(".cut")).to_have_count(0)
    assert axe_findings(phone) == []
