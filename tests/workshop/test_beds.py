"""Beds in a garden: what they get and lack, the forms, the log's way onto a bed, the commands."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from heapwright.errors import NotFound
from heapwright.garden.beds_types import Volume
from heapwright.garden.tables import depths
from heapwright.journal.entries import EntryKind
from heapwright.quantities import UnitSystem
from heapwright.sentences import Reader, render
from heapwright.web.app import create_app
from heapwright.workshop import beds as beds_module
from heapwright.workshop.beds import beds, today_in, wanted_rounds
from heapwright.workshop.beds_answer import ExpectedCompost
from heapwright.workshop.beds_log import drop_bed, save_bed, spread_on
from heapwright.workshop.beds_words import summary
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log, undo
from heapwright.workshop.plain import to_plain
from tests.laws.journal_cases import FILL
from tests.workshop.cli_terminal import Terminal, a_terminal
from tests.workshop.conftest import StillClock

INCH = 0.0254
READER, DAY = Reader(UnitSystem.METRIC), date(2026, 12, 31)
FORM = {"name": "Tomatoes", "use": "top-up", "size": "4 x 8 ft", "due": "2026-08-01", "weight": "2"}


@pytest.fixture
def planted(garden: Garden) -> Garden:
    """Two beds of ten square metres, one of them more important."""
    today = today_in(garden)
    for name, weight, ahead in (("Squash", 3, 60), ("Herbs", 1, 20)):
        due = today + timedelta(days=ahead)
        save_bed(garden, name=name, use="top-up", due=due, area_m2=10, weight=weight, origin="page")
    return garden


@pytest.fixture
def browser(garden: Garden) -> Iterator[TestClient]:
    with TestClient(
        create_app(garden), base_url="http://localhost", follow_redirects=False
    ) as client:
        yield client


def test_sacks_that_may_not_be_needed_are_told_as_the_most() -> None:
    for sacks, words in (((0, 0, 1), "one sack of"), ((0, 1, 2), "2 sacks of")):
        maybe = [*summary(Volume(1, 1, 1), Volume(1, 1, 1), Volume(0, 0.01, 0.1), sacks, 0, DAY)]
        assert words in (told := render(maybe[-1], READER)) and told.endswith("at most.")
    sure = [*summary(Volume(1, 1, 1), Volume(1, 1, 1), Volume(0.1, 0.1, 0.1), (2, 2, 2), 0, DAY)]
    assert "at most" not in render(sure[-1], READER)


def compost(on: date, low: float, likely: float, high: float) -> ExpectedCompost:
    return ExpectedCompost(on, on + timedelta(days=30), Volume(low, likely, high), "a heap")


def test_own_compost_and_what_is_missing_make_up_the_usual_layer(planted: Garden) -> None:
    today = today_in(planted)
    answer = beds(planted, [compost(today, 0.05, 0.15, 0.4)])
    for line in answer.lines:
        usual = line.still_m3.likely
        assert usual == pytest.approx(10 * 0.5 * INCH)
        assert line.own_m3.likely + line.buy_m3.likely == pytest.approx(usual)
        assert line.buy_m3.low == pytest.approx(usual - line.own_m3.high)
    # Both have their thin layer, the rest goes to the more important one, later as it is due.
    given = {line.bed.key: line.own_m3.likely for line in answer.lines}
    assert given["herbs"] == pytest.approx(10 * 0.25 * INCH)
    assert given["squash"] == pytest.approx(0.15 - given["herbs"])
    sack = depths()["sack_m3"].typical
    assert answer.sacks[1] == math.ceil(answer.buy_m3.likely / sack)
    # What is ready too late serves nobody by then.
    late = beds(planted, [compost(today + timedelta(days=90), 1, 1, 1)])
    assert late.own_m3.high == 0


def test_what_is_put_by_is_shared_out_and_what_is_spread_is_taken_off(
    planted: Garden, clock: StillClock
) -> None:
    body = {"batch": "h", "name": "Heap", "bin": "left", "fill": FILL}
    log(planted, EntryKind.BUILD, body, at=clock.now - timedelta(days=200), origin="page")
    log(planted, EntryKind.USE, {"bin": "left", "volume_m3": 0.2, "store": True}, origin="page")
    assert beds(planted, []).own_m3.low == pytest.approx(0.2)
    clock.go_on(minutes=1)
    done = spread_on(planted, "herbs", 0.127, "own compost", origin="page")
    answer = beds(planted, [])
    assert answer.store_m3 == pytest.approx(0.073)
    herbs = next(line for line in answer.lines if line.bed.key == "herbs")
    assert herbs.due == today_in(planted) + timedelta(days=20 + 365)
    assert not herbs.is_looked_ahead
    assert herbs.spreads[0].entry_id == done.stored[0]
    undo(planted, done.stored[0], origin="page")
    assert beds(planted, []).store_m3 == pytest.approx(0.2)


def test_a_year_ahead_holds_every_round_of_a_bed(planted: Garden, clock: StillClock) -> None:
    until = today_in(planted) + timedelta(days=20 + 365)
    found = [(one.key, one.still_m3.likely) for one in wanted_rounds(planted, until)]
    assert [key for key, _ in found] == ["herbs", "squash", "herbs"]
    # The page counts one layer a bed and says that another follows.
    told = [render(one, planted.reader()) for one in beds(planted, (), until=until).told]
    assert any("follow on the same beds in that time: 1." in one for one in told)
    half_a_year = [render(one, planted.reader()) for one in beds(planted, ()).told]
    assert not any("follow on the same beds" in one for one in half_a_year)
    clock.go_on(minutes=1)
    drop_bed(planted, "squash", origin="page")
    assert [one.key for one in wanted_rounds(planted, until)] == ["herbs", "herbs"]
    with pytest.raises(NotFound, match="Herbs"):
        spread_on(planted, "squash", 0.1, "manure", origin="page")


def test_a_bed_dropped_and_entered_again_keeps_the_wait_after_manure(
    planted: Garden, clock: StillClock
) -> None:
    spread_on(planted, "herbs", 0.1, "manure", origin="page")
    before = planted.state().year.beds["herbs"]
    again = {"name": "Herbs", "use": "top-up", "due": before.due, "area_m2": 10, "origin": "page"}
    clock.go_on(minutes=1)
    save_bed(planted, **again)  # beside one that is in use it is another bed
    assert set(planted.state().year.beds_in_use) == {"herbs", "herbs-2", "squash"}
    clock.go_on(minutes=1)
    drop_bed(planted, "herbs", origin="page")
    clock.go_on(minutes=1)
    save_bed(planted, **again)
    line = next(one for one in beds(planted, ()).lines if one.bed.key == "herbs")
    assert line.harvest_from is not None and "manure" in {one.id for one in line.cautions}


def test_standing_heaps_are_expected_or_told_why_not(planted: Garden, clock: StillClock) -> None:
    body = {"batch": "h", "name": "June heap", "bin": "left", "fill": FILL}
    log(planted, EntryKind.BUILD, body, at=clock.now - timedelta(days=20), origin="page")
    answer = beds(planted)
    notes = [render(one, planted.reader()) for one in answer.notes]
    assert len(answer.expected) + len(notes) == 1
    for one in answer.expected:
        assert today_in(planted) <= one.on <= one.on_late
        assert 0 < one.volume_m3.low <= one.volume_m3.likely <= one.volume_m3.high < 1
    assert all("June heap" in note for note in notes)


def test_the_page_enters_alters_spreads_and_drops(
    garden: Garden, browser: TestClient, clock: StillClock
) -> None:
    wrong = browser.post("/beds", data=FORM | {"size": "wide", "due": "soon"})
    assert wrong.status_code == 422
    assert "is not an area" in wrong.text and "is not a day" in wrong.text
    # Half a year about the ends of the calendar is no date: such a bed would break every page.
    for year in ("0001", "0206", "9999"):
        slip = FORM | {"due": f"{year}-12-31", "every_year": "yes"}
        assert "The year lies between 1900 and 2199" in browser.post("/beds", data=slip).text
    assert browser.post("/beds", data=FORM | {"entry_id": "a" * 32}).status_code == 303
    assert browser.post("/beds", data=FORM | {"entry_id": "a" * 32}).status_code == 303
    (bed,) = garden.state().year.beds_in_use.values()
    assert bed.area_m2 == pytest.approx(2.97289728)
    assert bed.every_year is False  # the box was not ticked
    clock.go_on(minutes=1)
    # The wait after raw manure stands beside the choice, before any was spread.
    assert "Raw manure: 120 days to a harvest that touches the soil" in browser.get("/beds").text
    altered = FORM | {"every_year": "yes", "depth": "5 in", "phosphorus": "high", "plants": "raw"}
    assert browser.post(f"/beds/{bed.key}", data=altered).status_code == 303
    page = browser.get("/beds").text
    assert "deeper than any published depth" in page and "much phosphorus" in page
    assert 'value="5 in"' in page and 'value="32 ft2"' in page
    spread = {"amount": "2 wheelbarrows", "what": "manure"}
    assert browser.post(f"/beds/{bed.key}/spread", data=spread).status_code == 303
    assert "Raw manure lies here: no harvest before Thu 8 October 2026" in browser.get("/beds").text
    assert browser.post(f"/beds/{bed.key}/spread", data={}).status_code == 422
    clock.go_on(minutes=1)
    assert browser.post(f"/beds/{bed.key}/gone").status_code == 303
    assert browser.post(f"/beds/{bed.key}", data=FORM).status_code == 404
    pots = {**FORM, "name": "Pots", "use": "potting mix", "size": "40 L"}
    assert browser.post("/beds", data=pots).status_code == 303
    assert garden.state().year.beds["pots"].volume_m3 == pytest.approx(0.04)


def test_salts_and_the_document_for_programs(planted: Garden, browser: TestClient) -> None:
    told = browser.get("/beds", params={"salts": "2.1", "extract": "1:2"}).text
    assert "at or above the 1.5" in told
    assert "is not a number" in browser.get("/beds", params={"salts": "much"}).text
    answer = browser.get("/api/beds").json()
    assert answer == json.loads(json.dumps(to_plain(beds(planted), planted.reader())))


def test_the_log_puts_compost_on_a_bed_or_by(
    planted: Garden, browser: TestClient, clock: StillClock
) -> None:
    body = {"batch": "h", "name": "Heap", "bin": "left", "fill": FILL}
    log(planted, EntryKind.BUILD, body, at=clock.now - timedelta(days=200), origin="page")
    assert "Herbs" in browser.get("/log?bin=left").text
    form = {"bin": "left", "taken": "some", "taken_amount": "40 L"}
    assert browser.post("/log", data=form | {"taken_to": "bed:odd"}).status_code == 422
    assert browser.post("/log", data=form | {"taken_to": "store"}).status_code == 303
    assert browser.post("/log", data=form | {"taken_to": "bed:herbs"}).status_code == 303
    year = planted.state().year
    assert year.store_m3 == pytest.approx(0.04)
    assert [(one.bed_key, one.batch_key) for one in year.spreads] == [("herbs", "h")]
    page = browser.get("/beds").text
    assert "Own compost, out of Heap" in page  # and not "put by", which it never was
    clock.go_on(minutes=1)
    everything = {**form, "taken": "all", "taken_to": "bed:squash"}
    assert browser.post("/log", data=everything).status_code == 303
    assert planted.state().year.spreads[-1].volume_m3 == pytest.approx(0.04)
    assert planted.bin("left").batch_key is None


def test_beds_by_command(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    terminal: Terminal = a_terminal(tmp_path, monkeypatch)
    terminal.tell("bins", "save", "Left bin", "3 ft", "3 ft", "3 ft")
    assert "No bed yet" in terminal.tell("beds")
    add = ("beds", "add", "Herbs", "--use", "top-up", "--size", "4 x 8 ft", "--due")
    assert "is not a day" in terminal.refused(*add, "soon")
    terminal.tell(*add, "2026-06-01")
    terminal.now += timedelta(minutes=1)
    terminal.tell(*add, "2026-07-01", "--weight", "3")
    terminal.tell("beds", "spread", "her", "2 pails", "--what", "bought compost")
    answer = terminal.json("beds", "list")
    (line,) = answer["lines"]
    assert line["due"] == "2026-07-01" and line["bed"]["weight"] == 3
    assert line["laid_m3"] > 0
    assert "lies there for this round" in terminal.tell("beds")
    heap = ExpectedCompost(date(2026, 8, 1), date(2026, 9, 1), Volume(0.1, 0.2, 0.3), "My heap")
    monkeypatch.setattr(beds_module, "expected_of_heaps", lambda *_: ((heap,), ()))
    assert "My heap: " in (told := terminal.tell("beds")) and "likely on 1 August 2026" in told
    assert "below the 4" in terminal.tell("beds", "salts", "3", "--extract", "paste")
    terminal.now += timedelta(minutes=1)
    terminal.tell("beds", "drop", "herbs")
    assert "No bed yet" in terminal.tell("beds")
