"""The year's stock on its page, by command and for programs."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import fields
from datetime import timedelta
from pathlib import Path

import pytest
from pydantic import BaseModel
from starlette.testclient import TestClient

from heapwright.journal.entries import EntryKind
from heapwright.season.arrivals import Season
from heapwright.season.saving import PlannedBuild
from heapwright.web import api_stock_ahead_models as models
from heapwright.web.app import create_app
from heapwright.web.stock_curves import HEIGHT, WIDTH, class_picture, stock_rows
from heapwright.workshop import stock_ahead_answer as answers
from heapwright.workshop.arrivals import ALL_YEAR, add_arrival, arrivals
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log
from heapwright.workshop.plain import to_plain
from heapwright.workshop.stock_ahead import stock_ahead
from tests.workshop.cli_terminal import Terminal, a_terminal
from tests.workshop.conftest import StillClock

FORM = {
    "material": "coffee grounds",
    "container": "5-gallon pail",
    "least": "1",
    "most": "3",
    "from": "11-01",
    "to": "02-15",
    "keeps": "14",
    "packing": "loose",
}
MIRRORED = [
    (models.ClassAheadModel, answers.ClassAhead),
    (models.BuildAheadModel, answers.BuildAhead),
    (models.SavingAheadModel, answers.SavingAhead),
    (models.StockAheadModel, answers.StockAhead),
]


@pytest.fixture
def browser(garden: Garden) -> Iterator[TestClient]:
    with TestClient(
        create_app(garden), base_url="http://localhost", follow_redirects=False
    ) as client:
        yield client


def with_heaps(garden: Garden) -> answers.StockAhead:
    weekly = (0.1, 0.2, 0.3)
    for material, season in (("grass clippings", ALL_YEAR), ("leaves", Season("10-15", "12-01"))):
        add_arrival(garden, material=material, volume_m3_week=weekly, season=season, origin="page")
    return stock_ahead(garden, [PlannedBuild(2, 0.5), PlannedBuild(30, 0.5)])


def test_an_arrival_is_entered_altered_and_dropped_on_the_page(
    garden: Garden, browser: TestClient, clock: StillClock
) -> None:
    assert browser.post("/stock/ahead", data=FORM).status_code == 303
    (line,) = arrivals(garden)
    pail = 0.0189271 * 0.9  # 5 gal by definition, nearly full
    assert line.arrival.volume_m3_week == pytest.approx((pail, 2 * pail, 3 * pail), rel=0.01)
    assert (line.arrival.from_day, line.arrival.to_day) == ("11-01", "02-15")
    key = line.arrival.key
    page = browser.get("/stock/ahead").text
    assert "Coffee grounds" in page and "1 November to 15 February" in page
    clock.go_on(minutes=1)
    more = {**FORM, "most": "9", "likely": "2"}
    assert browser.post(f"/stock/ahead/{key}", data=more).status_code == 303
    (line,) = arrivals(garden)
    assert line.arrival.volume_m3_week[2] == pytest.approx(9 * pail, rel=0.01)
    clock.go_on(minutes=1)
    assert browser.post(f"/stock/ahead/{key}/gone", data={}).status_code == 303
    assert arrivals(garden) == ()
    assert browser.post(f"/stock/ahead/{key}/gone", data={}).status_code == 404


@pytest.mark.parametrize(
    ("field", "said", "told"),
    [
        ("least", "5", "must not be less than the least"),
        ("most", "", "At most is missing"),
        ("from", "soon", "is not a day of the year"),
        ("material", "meat", "heap"),
        ("container", "sky", "No container is chosen"),
        ("keeps", "-3", "How long it keeps"),
        ("most", "1e9", "What comes in a week"),
    ],
)
def test_what_is_wrong_is_told_beside_its_field_and_nothing_stored(
    garden: Garden, browser: TestClient, field: str, said: str, told: str
) -> None:
    answer = browser.post("/stock/ahead", data={**FORM, field: said})
    assert answer.status_code == 422 and told in answer.text
    assert arrivals(garden) == ()


def test_a_proposal_is_taken_as_it_is(garden: Garden, browser: TestClient) -> None:
    log(garden, EntryKind.SITE, {"people": 2}, origin="page")
    page = browser.get("/stock/ahead").text
    assert "UNEP 2024" in page
    form = page[page.index('aria-labelledby="proposed-vegetable_scraps"') :]
    form = form[: form.index("</form>")]
    data = {
        part.split('"')[1]: part.split('"')[3]
        for part in form.split('type="hidden" name=')[1:]
        if part.startswith('"')
    }
    assert browser.post("/stock/ahead", data=data).status_code == 303
    assert [line.arrival.material_key for line in arrivals(garden)] == ["vegetable_scraps"]


def test_the_picture_stays_on_its_paper_and_marks_where_it_runs_out(garden: Garden) -> None:
    answer, reader = with_heaps(garden), garden.reader()
    greens, browns = (class_picture(one, answer, reader) for one in answer.classes)
    for picture in (greens, browns):
        numbers = picture.band.strip("MZ").replace("L", " ").split()
        places = [float(number) for number in numbers]
        assert all(picture.left <= x <= WIDTH for x in places[::2])
        assert all(0.0 <= y <= HEIGHT for y in places[1::2])
        assert len(picture.taken) == 2
    assert browns.out_x is not None
    assert browns.out_x == pytest.approx(browns.taken[0].x)
    days = [row.day for row in stock_rows(answer, reader)]
    assert "8 June 2026" in days and "22 June 2026" in days


@pytest.mark.parametrize("model, answer", MIRRORED, ids=[one.__name__ for _, one in MIRRORED])
def test_the_document_has_exactly_the_fields_of_the_answer(
    model: type[BaseModel], answer: type
) -> None:
    assert list(model.model_fields) == [field.name for field in fields(answer)]


def test_the_document_passes_the_answer_on(garden: Garden, browser: TestClient) -> None:
    with_heaps(garden)
    told = browser.get("/api/stock/ahead").json()
    assert told == json.loads(json.dumps(to_plain(stock_ahead(garden), garden.reader())))
    assert len(told["mondays"]) == 52 and told["classes"][1]["key"] == "browns"


def test_the_commands_enter_list_tell_and_drop(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    terminal: Terminal = a_terminal(tmp_path, monkeypatch)
    terminal.tell("bins", "save", "Left bin", "3 ft", "3 ft", "3 ft")
    said = ("arrivals", "add", "coffee grounds", "--least", "1 pail", "--most", "3 pails")
    terminal.tell(*said, "--from", "11-01", "--to", "02-15")
    listed = terminal.tell("arrivals")
    assert "coffee-grounds" in listed and "1 November to 15 February" in listed
    ahead = terminal.tell("ahead")
    assert "Greens" in ahead and "No brown is on hand" in ahead
    assert terminal.json("ahead")["saving"] is None
    assert "first who lives here" in terminal.tell("arrivals", "propose")
    terminal.now += timedelta(minutes=1)
    terminal.tell("arrivals", "drop", "coffee-grounds")
    assert "Nothing that arrives" in terminal.tell("arrivals", "list")
    weighed = ("arrivals", "add", "leaves", "--least", "9 kg", "--most", "20 kg")
    assert "is a weight" in terminal.refused(*weighed)
    assert "is not a day of the year" in terminal.refused(*said, "--from", "soon")
