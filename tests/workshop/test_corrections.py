"""An entry put right: what it says from now on, what stays, and the way back."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import pytest
from starlette.testclient import TestClient

from heapwright.journal.entries import EntryKind
from heapwright.web.app import create_app
from heapwright.workshop import build, stock
from heapwright.workshop.correct import as_it_stands
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log
from tests.workshop.conftest import NOW


@pytest.fixture
def client(garden: Garden) -> TestClient:
    """Return a browser on a garden with a heap in its left bin, not followed by redirects."""
    stock.add_lot(garden, material="straw", container="wheelbarrow", count=4, origin="page")
    counts = {line.lot.key: 3 for line in stock.stock(garden)}
    build.record_build(
        garden, "left", counts, 30.0, "First", at=NOW - timedelta(days=5), origin="page"
    )
    return TestClient(create_app(garden), base_url="http://127.0.0.1", follow_redirects=False)


def logged(garden: Garden, kind: EntryKind, **body: Any) -> str:
    at = NOW - timedelta(hours=3)
    return log(garden, kind, {"bin": "left"} | body, at=at, origin="page").stored[0]


def shown(client: TestClient, entry_id: str) -> dict[str, str]:
    """Return the form as the page fills it in."""
    page = client.get(f"/log/correct/{entry_id}").text
    form = page[page.index("<form class") : page.index("</form>")]
    fields = dict(
        re.findall(r'<input[^>]* name="(\w+)" type="\w+[\w-]*"[^>]*? value="([^"]*)"', form)
    )
    for name, options in re.findall(r'<select[^>]* name="(\w+)"[^>]*>(.*?)</select>', form, re.S):
        chosen = re.search(r'value="([^"]*)" selected', options)
        fields[name] = chosen[1] if chosen else ""
    for name, text in re.findall(
        r'<textarea[^>]* name="(\w+)"[^>]*>\n(.*?)</textarea>', form, re.S
    ):
        fields[name] = text
    return fields


def correct(client: TestClient, entry_id: str, **changes: str):
    fields = {**shown(client, entry_id), "unit": "F", **changes}
    return client.post(f"/log/correct/{entry_id}", data=fields)


def test_a_number_and_its_degree_are_put_right_and_the_rest_stays(
    client: TestClient, garden: Garden
) -> None:
    entry_id = logged(garden, EntryKind.READING, temperature_c=13.9, depth_m=0.45, where="edge")
    answer = correct(client, entry_id, temperature="57", unit="C")
    assert answer.status_code == 303, answer.text
    now = as_it_stands(garden, entry_id)
    assert now.body == {"bin": "left", "temperature_c": 57.0, "depth_m": 0.45, "where": "edge"}
    assert now.at == NOW - timedelta(hours=3)
    page = client.get(answer.headers["location"]).text
    assert "Corrected: Read 135 °F at the edge." in page


def test_a_form_that_changes_nothing_stores_nothing(client: TestClient, garden: Garden) -> None:
    entry_id = logged(
        garden, EntryKind.READING, temperature_c=55.5555, depth_m=0.4321, note="deep in"
    )
    before = garden.entries()
    answer = correct(client, entry_id)
    assert "same=1" in answer.headers["location"]
    assert "Nothing was changed" in client.get(answer.headers["location"]).text
    assert garden.entries() == before


@pytest.mark.parametrize(
    "changes", [{"water": "10", "water_unit": "L"}, {"at": (NOW - timedelta(hours=3)).isoformat()}]
)
def test_the_same_said_otherwise_stores_nothing(
    client: TestClient, garden: Garden, changes: dict[str, str]
) -> None:
    entry_id = logged(garden, EntryKind.WET, water_kg=10.0)
    before = garden.entries()
    answer = correct(client, entry_id, **changes)
    assert "same=1" in answer.headers["location"]
    assert garden.entries() == before


@pytest.mark.parametrize(
    "kind, body, changes, expected",
    [
        (EntryKind.WET, {"water_kg": 10.0}, {"water": "20", "water_unit": "L"}, {"water_kg": 20.0}),
        (EntryKind.TURN, {"how": "stir"}, {"note": "heavy"}, {"how": "stir", "note": "heavy"}),
        (EntryKind.LOOK, {"squeeze": "dry", "note": "x"}, {"squeeze": "drops"}, {"squeeze": "drops", "note": "x"}),  # noqa: E501
        (EntryKind.LOOK, {"squeeze": "dry", "note": "x"}, {"note": ""}, {"squeeze": "dry"}),
        (EntryKind.COVER, {"cover": "tarp"}, {"cover": "lid"}, {"cover": "lid"}),
        (EntryKind.CURE, {}, {"note": "at last"}, {"note": "at last"}),
    ],
)  # fmt: skip
def test_each_kind_of_entry_is_put_right(
    client: TestClient,
    garden: Garden,
    kind: EntryKind,
    body: dict[str, Any],
    changes: dict[str, str],
    expected: dict[str, Any],
) -> None:
    entry_id = logged(garden, kind, **body)
    answer = correct(client, entry_id, **changes)
    assert answer.status_code == 303, answer.text
    assert as_it_stands(garden, entry_id).body == {"bin": "left"} | expected


def test_the_time_is_put_right(client: TestClient, garden: Garden) -> None:
    entry_id = logged(garden, EntryKind.READING, temperature_c=50.0)
    correct(client, entry_id, at="2026-06-09T07:30")
    now = as_it_stands(garden, entry_id)
    assert f"{now.at:%Y-%m-%d %H:%M}" == "2026-06-09 07:30"
    assert now.body["temperature_c"] == 50.0


def test_a_correction_is_taken_back_and_brought_back(client: TestClient, garden: Garden) -> None:
    entry_id = logged(garden, EntryKind.READING, temperature_c=50.0)
    correct(client, entry_id, temperature="131")
    correction = garden.entries()[-1]
    assert correction.kind is EntryKind.CORRECT
    client.post("/log/undo", data={"entry_id": correction.id})
    assert as_it_stands(garden, entry_id).body["temperature_c"] == 50.0
    client.post("/log/undo", data={"entry_id": correction.id, "bring_back": "yes"})
    assert as_it_stands(garden, entry_id).body["temperature_c"] == pytest.approx(55.0)


@pytest.mark.parametrize(
    "changes, said",
    [
        ({"temperature": "hot"}, "is not a number"),
        ({"temperature": ""}, "Temperature is missing"),
        ({"temperature": "640"}, "Temperature"),
        ({"bin": "nowhere"}, "No bin is called"),
        ({"bin": "right"}, "nothing stood in Right"),
        ({"at": "2030-01-01T00:00"}, "has not come yet"),
        ({"at": ""}, "When it was is missing"),
        ({"at": "2020-01-01T00:00"}, "nothing stood in Left"),
    ],
)
def test_a_correction_that_cannot_be_is_told_and_nothing_changes(
    client: TestClient, garden: Garden, changes: dict[str, str], said: str
) -> None:
    entry_id = logged(garden, EntryKind.READING, temperature_c=50.0)
    before = garden.entries()
    answer = correct(client, entry_id, **changes)
    assert answer.status_code == 422
    assert said in answer.text.replace("&#34;", '"')
    assert garden.entries() == before


def test_what_is_not_there_or_not_corrected_is_told(client: TestClient, garden: Garden) -> None:
    assert client.get(f"/log/correct/{'0' * 32}").status_code == 404
    made = next(entry for entry in garden.entries() if entry.kind is EntryKind.BIN)
    assert "Save the bin" in client.get(f"/log/correct/{made.id}").text
    entry_id = logged(garden, EntryKind.READING, temperature_c=50.0)
    client.post("/log/undo", data={"entry_id": entry_id})
    assert client.get(f"/log/correct/{entry_id}").status_code == 404


def test_the_same_correction_sent_twice_is_stored_once(client: TestClient, garden: Garden) -> None:
    entry_id = logged(garden, EntryKind.READING, temperature_c=50.0)
    fields = {**shown(client, entry_id), "unit": "F", "temperature": "140"}
    first = client.post(f"/log/correct/{entry_id}", data=fields)
    count = len(garden.entries())
    second = client.post(f"/log/correct/{entry_id}", data=fields)
    assert (first.status_code, second.status_code) == (303, 303)
    assert len(garden.entries()) == count


def test_the_story_of_a_bin_leads_to_the_correction(client: TestClient, garden: Garden) -> None:
    entry_id = logged(garden, EntryKind.READING, temperature_c=50.0)
    assert f'href="/log/correct/{entry_id}"' in client.get("/bins/left").text
