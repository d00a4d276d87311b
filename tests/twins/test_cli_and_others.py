"""Command line, workshop and /api are three doors to one answer: the numbers are the same."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from heapwright.quantities import format_temperature
from heapwright.sentences import Reader
from heapwright.web.app import create_app
from heapwright.workshop import bins
from heapwright.workshop.build import plan_build
from heapwright.workshop.garden import Garden
from heapwright.workshop.mix import mix_explicit
from heapwright.workshop.plain import to_plain
from heapwright.workshop.ready import ready
from heapwright.workshop.stock import stock
from heapwright.workshop.today import today
from heapwright.workshop.whatif import what_if_in
from tests.workshop.cli_terminal import Terminal, a_terminal, prepared


@pytest.fixture(scope="module")
def terminal(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Terminal]:
    home = prepared(tmp_path_factory.mktemp("twins"))
    with pytest.MonkeyPatch.context() as patch:
        made = a_terminal(home, patch)
        made.tell("log", "left", "118F", "--at", "2026-05-02 07:00")
        made.tell("log", "left", "137F", "--squeeze", "drops")
        yield made


@pytest.fixture(scope="module")
def garden(terminal: Terminal) -> Iterator[Garden]:
    with terminal.opened() as opened:
        yield opened


@pytest.fixture(scope="module")
def api(garden: Garden) -> TestClient:
    return TestClient(create_app(garden), base_url="http://127.0.0.1")


def test_today_by_command_is_the_workshops(terminal: Terminal, garden: Garden) -> None:
    assert terminal.json("today") == to_plain(today(garden), garden.reader())


def test_today_by_command_is_that_of_the_pages(terminal: Terminal, api: TestClient) -> None:
    assert terminal.json("today") == api.get("/api/today").json()


def test_one_bin_is_the_same_as_in_the_whole(terminal: Terminal) -> None:
    assert terminal.json("today", "left") == terminal.json("today")["bins"][0]


def test_ready_by_command_is_the_workshops_and_the_pages(
    terminal: Terminal, garden: Garden, api: TestClient
) -> None:
    by_command = terminal.json("ready", "left")
    assert by_command == to_plain(ready(garden, "left"), garden.reader())
    assert by_command == api.get("/api/bins/left/ready").json()
    page = api.get("/bins/left/ready").text
    assert by_command["headline"] in page
    for state in by_command["uses"]:
        for reason in state["against"]:
            assert reason in page


def test_what_if_by_command_is_the_workshops_the_pages_and_todays(
    terminal: Terminal, garden: Garden, api: TestClient
) -> None:
    mine = terminal.json("whatif", "left")
    theirs = to_plain(what_if_in(garden, "left"), garden.reader())
    assert {name: mine[name] for name in theirs} == theirs
    assert theirs == api.get("/api/bins/left/whatif").json()
    page = " ".join(api.get("/bins/left").text.split())
    told = " ".join(terminal.tell("whatif", "left").split())
    for row in theirs["rows"]:
        for words in (row["headline"], row["gain"].removesuffix(".")):
            assert words in page
            assert words in told
    if theirs["stands_before"] is None:
        assert terminal.json("today", "left")["advice"] == theirs["best"]


def test_forecast_by_command_is_the_workshops_and_the_pages(
    terminal: Terminal, garden: Garden, api: TestClient
) -> None:
    mine = terminal.json("forecast", "left", "--days", "4")
    theirs = to_plain(bins.forecast(garden, "left", 4), garden.reader())
    assert {name: mine[name] for name in theirs} == theirs
    assert theirs == api.get("/api/bins/left/forecast", params={"days": 4}).json()
    now = theirs["now_index"]
    for number, day in enumerate(mine["daily"]):
        assert day["likely_c"] == theirs["likely_c"][now + 24 * number]


def test_forecast_in_words_shows_the_numbers_of_json(terminal: Terminal, garden: Garden) -> None:
    told = [
        line
        for line in terminal.tell("forecast", "left", "--days", "4").splitlines()
        if "●" in line
    ]
    daily = terminal.json("forecast", "left", "--days", "4")["daily"]
    units = garden.reader().units
    assert len(told) == len(daily)
    for line, day in zip(told, daily, strict=True):
        for name in ("low_c", "likely_c", "high_c"):
            assert format_temperature(day[name], units) in line


def test_recipe_by_command_is_the_workshops(terminal: Terminal, garden: Garden) -> None:
    mine = terminal.json("build", "middle", "--keep-back", "leaves-mixed-dry=1")
    theirs = plan_build(garden, "middle-bin", keep_back={"leaves-mixed-dry": 1})
    assert mine == {**to_plain(theirs, garden.reader()), "recorded": None}


def test_stock_by_command_is_the_workshops(terminal: Terminal, garden: Garden) -> None:
    assert terminal.json("stock") == to_plain(stock(garden), garden.reader())


def test_mixture_by_command_is_the_workshops(terminal: Terminal) -> None:
    text = json.dumps(
        {
            "parts": [
                {"mass_kg": 10, "moisture": 0.77, "nitrogen_dry": 0.024, "carbon_dry": 0.45},
                {"mass_kg": 8, "moisture": 0.35, "c_to_n": 60, "carbon_dry": 0.5, "ash_dry": 0.1},
            ],
            "target_moisture": 0.6,
        }
    )
    assert terminal.json("mix", "-", typed=text) == to_plain(mix_explicit(text), Reader())


def test_log_taken_in_by_command_is_that_of_python(
    terminal: Terminal, garden: Garden, tmp_path: Path
) -> None:
    """The same reading by command and by /api is the same line of the journal."""
    by_command = terminal.json("log", "left", "141F", "--at", "5:00")["entries"][0]
    sent = {**by_command, "id": "f" * 32, "origin": None}
    del sent["origin"]
    with TestClient(create_app(garden), base_url="http://127.0.0.1") as client:
        headers = {"Origin": "http://127.0.0.1"}
        reply = client.post("/api/entries", json={"entries": [sent]}, headers=headers)
    assert reply.json()["stored"] == ["f" * 32], reply.text
    mine, theirs = garden.entries()[-2:]
    assert (mine.kind, mine.at, mine.body) == (theirs.kind, theirs.at, theirs.body)
