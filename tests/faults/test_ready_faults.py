"""What is sent into the forms of the finish that cannot be: a sentence, a 4xx, nothing stored."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from heapwright.journal.entries import EntryKind
from heapwright.web.app import create_app
from heapwright.workshop import setup
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log
from tests.laws.journal_cases import FILL

NOW = datetime(2026, 6, 10, 15, 0, tzinfo=UTC)
BASE_ID = "0123456789abcdef" * 2
GOOD = {"entry_id": BASE_ID, "procedure": "radish-pot", "sown": "12", "up": "10"}


@pytest.fixture
def garden(tmp_path: Path) -> Iterator[Garden]:
    """Return a garden with a heap too old for the model in its left bin, and an empty one."""
    with Garden.open(tmp_path / "garden.heapwright", lambda: NOW) as opened:
        for name in ("Left", "Right"):
            setup.save_bin(
                opened, name=name, origin="page", width_m=0.92, depth_m=0.92, height_m=0.92
            )
        body = {"batch": "old", "name": "Old heap", "bin": "left", "fill": FILL}
        log(opened, EntryKind.BUILD, body, at=NOW - timedelta(days=300), origin="page")
        yield opened


@pytest.fixture
def client(garden: Garden) -> TestClient:
    return TestClient(create_app(garden), base_url="http://127.0.0.1")


def results(garden: Garden) -> int:
    return sum(entry.kind in (EntryKind.TEST, EntryKind.SCREEN) for entry in garden.entries())


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"procedure": "sniffing"}, "No test is called"),
        ({"procedure": "reheating"}, "No test is called"),
        ({"procedure": ""}, "No test is called"),
        ({"sown": ""}, "Seeds sown is missing"),
        ({"sown": "a few"}, "a few"),
        ({"up": "13"}, "cannot be more than"),
        ({"up": "-1"}, "Seeds up and growing"),
        ({"up": "9.5"}, "Only whole ones are counted"),
        ({"up": "<script>"}, "&lt;script&gt;"),
        ({"at": "2027-01-01T10:00"}, "has not come yet"),
        ({"at": "soon"}, "is not a date and time"),
        ({"control_sown": "12"}, "only one number is told"),
    ],
)
def test_a_result_that_cannot_be_is_told_and_not_stored(
    client: TestClient, garden: Garden, changes: dict[str, str], words: str
) -> None:
    answer = client.post("/bins/left/ready", data=GOOD | changes)
    assert answer.status_code == 422
    assert words in answer.text
    assert results(garden) == 0


def test_the_same_form_sent_twice_is_stored_once(client: TestClient, garden: Garden) -> None:
    assert client.post("/bins/left/ready", data=GOOD).status_code == 200
    again = client.post("/bins/left/ready", data=GOOD)
    assert "it is stored once" in again.text
    assert results(garden) == 1


def test_a_result_of_an_empty_bin_or_before_the_heap_was_built_is_refused(
    client: TestClient, garden: Garden
) -> None:
    assert client.post("/bins/right/ready", data=GOOD).status_code == 404
    assert client.post("/bins/north/ready", data=GOOD).status_code == 404
    early = client.post("/bins/left/ready", data=GOOD | {"at": "2025-01-01T10:00"})
    assert early.status_code == 422
    assert "nothing stood in Left" in early.text
    assert results(garden) == 0


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({}, "Neither what went through"),
        ({"leftovers": "20 L"}, "is a measure"),
        ({"leftovers": "half a million pails"}, "pails"),
        ({"leftovers": "1 1/2 pails"}, "whole containers"),
        ({"through": "3 kg"}, "is a weight"),
        ({"through": "some"}, "some"),
        ({"through": "3 pails", "mesh": "fine"}, "Mesh"),
        ({"through": "3 pails", "mesh": "0"}, "Mesh"),
    ],
)
def test_a_screening_that_cannot_be_is_told_and_not_stored(
    client: TestClient, garden: Garden, fields: dict[str, str], words: str
) -> None:
    answer = client.post("/bins/left/screen", data={"entry_id": BASE_ID, **fields})
    assert answer.status_code == 422
    assert words in answer.text
    assert results(garden) == 0
    assert garden.state().lots == {}


def test_a_screening_sent_twice_makes_one_lot(client: TestClient, garden: Garden) -> None:
    told = {"entry_id": BASE_ID, "through": "3 pails", "leftovers": "1 pail", "mesh": "1/2 in"}
    assert client.post("/bins/left/screen", data=told).status_code == 200
    assert client.post("/bins/left/screen", data=told).status_code == 200
    assert [lot.material_key for lot in garden.state().lots.values()] == ["compost_oversize"]
    assert results(garden) == 1
