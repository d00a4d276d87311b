"""Finding a heap's fault on a phone: ticks, ranked causes, the next look by a tap, danger first."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from heapwright.diagnosis.types import Seen
from heapwright.journal.entries import EntryKind
from heapwright.sentences import Reader, Sentence, render
from heapwright.workshop.diagnose import JUDGEMENT, diagnose
from heapwright.workshop.log import log
from heapwright.workshop.setup import save_bin
from tests.browser.conftest import NOW, LiveServer, axe_findings, open_all, tab_through

SCHEMES = ("light", "dark")


def words(sentence: Sentence) -> str:
    return render(sentence, Reader())


def fault(page: Page, server: LiveServer, asked: str = "", key: str = "left") -> None:
    page.goto(f"{server.address}/bins/{key}/fault{asked}", wait_until="networkidle")


def test_the_page_is_reached_from_the_bin(phone: Page, live_server: LiveServer) -> None:
    phone.goto(f"{live_server.address}/bins/left", wait_until="networkidle")
    phone.get_by_role("link", name="Find the fault").click()
    expect(phone.get_by_role("heading", level=1, name="Find the fault")).to_be_visible()
    expect(phone.locator("main").get_by_role("link", name="Left bin")).to_be_visible()


def test_today_leads_there_only_when_something_is_amiss(
    phone: Page, own_server: LiveServer
) -> None:
    phone.goto(own_server.address, wait_until="networkidle")
    link = phone.locator("article", has_text="Left bin").get_by_role("link", name="Find the fault")
    expect(link).to_have_count(0)
    body = {"bin": "left", "smell": "ammonia"}
    log(own_server.garden, EntryKind.LOOK, body, at=NOW, origin="page")
    phone.reload(wait_until="networkidle")
    expect(link).to_have_count(1)


def test_what_is_ticked_ranks_the_causes_as_the_workshop_does(
    phone: Page, live_server: LiveServer
) -> None:
    fault(phone, live_server)
    for chip in ("Sour", "Matted"):
        phone.get_by_label(chip).check(force=True)
    phone.get_by_role("button", name="Find the fault").click()
    answer = diagnose(live_server.garden, "left", Seen("sour", "", frozenset({"matted"})))
    expect(phone.get_by_role("heading", name=words(answer.headline))).to_be_visible()
    shown = phone.locator(".causes").first.locator(".cause-head strong").all_text_contents()
    assert shown == [words(one.name) for one in answer.causes[:3]]
    share = round(100 * answer.causes[0].probability.likely)
    expect(phone.locator(".chance").first).to_contain_text(f"{share} %")
    length = phone.locator(".chance-likely").first.get_attribute("d") or ""
    assert float(length.split("H")[1]) == pytest.approx(
        300 * answer.causes[0].probability.likely, abs=0.06
    )
    for caution in answer.remedy.cautions:
        expect(phone.locator(".remedy .cautions").get_by_text(words(caution))).to_be_visible()
    expect(phone.get_by_text(words(JUDGEMENT))).to_be_visible()


def test_the_next_look_is_answered_by_a_tap_and_kept(phone: Page, live_server: LiveServer) -> None:
    fault(phone, live_server, "?smell=sour&looks=matted")
    answer = diagnose(live_server.garden, "left", Seen("sour", "", frozenset({"matted"})))
    assert answer.check is not None
    expect(phone.get_by_text(words(answer.check.ask))).to_be_visible()
    outcome = next(one for one in answer.check.outcomes if one.outcome == "no")
    expect(phone.get_by_text(words(outcome.means)).first).to_be_visible()
    phone.get_by_role("button", name=words(outcome.seen)).click()
    phone.wait_for_load_state("networkidle")
    assert f"not={outcome.sign.replace(' ', '+')}" in phone.url
    assert "smell=sour" in phone.url and "looks=matted" in phone.url
    open_all(phone)
    expect(phone.get_by_text("Looked for, not found")).to_be_visible()
    after = diagnose(
        live_server.garden,
        "left",
        Seen("sour", "", frozenset({"matted"}), frozenset({outcome.sign})),
    )
    assert after.check is None or after.check.sign != outcome.sign
    shown = phone.locator(".causes").first.locator(".cause-head strong").all_text_contents()
    assert shown == [words(one.name) for one in after.causes[:3]]


def test_a_tap_on_a_smell_counts_though_its_chip_is_open(
    phone: Page, live_server: LiveServer
) -> None:
    fault(phone, live_server, "?smell=&squeeze=&smell=sour")
    open_all(phone)
    expect(phone.get_by_text("It smells sour.").first).to_be_visible()


def test_it_works_without_scripts(
    browser_page_without_scripts: Page, live_server: LiveServer
) -> None:
    page = browser_page_without_scripts
    page.goto(f"{live_server.address}/bins/left/fault")
    page.get_by_label("Dusty").check(force=True)
    page.get_by_role("button", name="Find the fault").click()
    expect(page.locator(".causes").first.get_by_text("Too dry")).to_be_visible()


def test_a_smoking_heap_is_danger_before_all_else(phone: Page, live_server: LiveServer) -> None:
    fault(phone, live_server, "?looks=smoking&smell=sour")
    first = phone.locator("form h2").first
    expect(first).to_contain_text("Stand back and do not open it")
    expect(phone.get_by_role("heading", name="Look next")).to_have_count(0)
    expect(phone.locator(".remedy-danger .cautions")).to_contain_text("call the fire service")


def test_a_reading_as_hot_as_fire_is_danger_too(phone: Page, own_server: LiveServer) -> None:
    body = {"bin": "left", "temperature_c": 86.0}
    log(own_server.garden, EntryKind.READING, body, at=NOW, origin="page")
    fault(phone, own_server)
    expect(phone.locator("form h2").first).to_contain_text("Stand back")


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("?smell=fishy", 'Smell "fishy" is not known'),
        ("?looks=wings", 'Look "wings" is not known'),
        ("?not=earthy", "Not found"),
    ],
)
def test_a_word_that_is_none_is_told_and_the_page_stays(
    phone: Page, live_server: LiveServer, asked: str, said: str
) -> None:
    answer = phone.goto(f"{live_server.address}/bins/left/fault{asked}")
    assert answer is not None and answer.status == 422
    expect(phone.locator("main")).to_contain_text(said)
    expect(phone.get_by_role("heading", name="Look next")).to_be_visible()


def test_what_is_ticked_outranks_an_older_not_found(phone: Page, live_server: LiveServer) -> None:
    fault(phone, live_server, "?not=ants&pests=ants")
    open_all(phone)
    expect(phone.get_by_text("Ants live in it.").first).to_be_visible()
    expect(phone.get_by_text("Looked for, not found")).to_have_count(0)


def test_a_bin_without_readings_or_heap_is_answered(phone: Page, empty_server: LiveServer) -> None:
    garden = empty_server.garden
    save_bin(garden, name="Left", width_m=0.9, depth_m=0.9, height_m=0.9, origin="page")
    answer = phone.goto(f"{empty_server.address}/bins/left/fault")
    assert answer is not None and answer.status == 404
    expect(phone.locator("main")).to_contain_text("Left is empty")


def test_programs_get_the_same_answer(live_server: LiveServer, phone: Page) -> None:
    told = phone.request.get(
        f"{live_server.address}/api/bins/left/diagnosis?smell=sour&seen=matted&seen=mice"
    ).json()
    seen = Seen("sour", "", frozenset({"matted", "rats"}))
    answer = diagnose(live_server.garden, "left", seen)
    assert told["causes"][0]["id"] == answer.causes[0].id
    assert told["headline"] == words(answer.headline)
    refused = phone.request.get(f"{live_server.address}/api/bins/left/diagnosis?seen=wings")
    assert refused.status == 422 and "wings" in refused.json()["what"]


def test_the_keyboard_reaches_every_answer(phone: Page, live_server: LiveServer) -> None:
    fault(phone, live_server, "?smell=sour&looks=matted")
    reached = tab_through(phone)
    buttons = phone.locator(".answers button").all_text_contents()
    assert buttons and all(any(b.strip() in one for one in reached) for b in buttons)


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize("zoom", [1, 2])
@pytest.mark.parametrize("asked", ["", "?smell=sour&looks=matted", "?looks=smoking", "?smell=x"])
def test_axe_finds_nothing_and_nothing_sticks_out(
    phone: Page, live_server: LiveServer, scheme: str, zoom: int, asked: str
) -> None:
    phone.set_viewport_size({"width": 390 // zoom, "height": 844 // zoom})
    phone.emulate_media(color_scheme=scheme)
    fault(phone, live_server, asked)
    open_all(phone)
    assert axe_findings(phone) == []
    assert phone.evaluate("document.documentElement.scrollWidth") <= 390 // zoom
