"""What the house does with a form that waited in a phone: held to its own time, stored once."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from starlette.testclient import TestClient

from heapwright.journal.entries import EntryKind, new_entry_id
from heapwright.web.app import create_app
from heapwright.web.phone_post import garden_mark
from heapwright.workshop import build, stock
from heapwright.workshop.garden import Garden
from tests.workshop.conftest import NOW, StillClock

HOURS = 3600.0


@pytest.fixture
def client(garden: Garden) -> TestClient:
    """Return a phone on a garden with a heap in its left bin."""
    stock.add_lot(garden, material="straw", container="wheelbarrow", count=4, origin="page")
    counts = {line.lot.key: 3 for line in stock.stock(garden)}
    build.record_build(
        garden, "left", counts, 30.0, "First", at=NOW - timedelta(days=5), origin="page"
    )
    return TestClient(create_app(garden), base_url="http://127.0.0.1", follow_redirects=False)


def send(
    client: TestClient, fields: dict[str, str], waited_s: float = 0.0, **headers: str
) -> tuple[int, dict[str, Any]]:
    """Send a form as the phone's store does; return the status and what was said."""
    given = {"Accept": "application/json", "Heapwright-Waited": str(waited_s)}
    given |= {name.replace("_", "-"): value for name, value in headers.items()}
    answer = client.post("/log", data={"bin": "left"} | fields, headers=given)
    return answer.status_code, answer.json()


def test_what_waited_is_held_to_the_moment_it_was_written(
    client: TestClient, garden: Garden
) -> None:
    status, said = send(client, {"temperature": "131"}, waited_s=5 * HOURS)
    assert (status, said["outcome"]) == (200, "stored")
    assert said["words"] == "Read 131 °F."
    assert garden.entries()[-1].at == NOW - timedelta(hours=5)
    assert garden.entries()[-1].written_at == NOW


def test_a_moment_the_person_typed_stays_as_typed(client: TestClient, garden: Garden) -> None:
    fields = {"temperature": "131", "at": "2026-06-09T08:00"}
    assert send(client, fields, waited_s=5 * HOURS)[0] == 200
    assert f"{garden.entries()[-1].at:%Y-%m-%dT%H:%M}" == "2026-06-09T08:00"


@pytest.mark.parametrize("waited", ["-5", "nan", "inf", "soon", "1e12", ""])
def test_a_wait_that_cannot_be_means_now(client: TestClient, garden: Garden, waited: str) -> None:
    status, _ = send(client, {"temperature": "131"}, Heapwright_Waited=waited)
    assert status == 200
    assert garden.entries()[-1].at == NOW


def test_the_same_form_is_stored_once_however_long_it_waited(
    client: TestClient, garden: Garden
) -> None:
    fields = {"temperature": "131", "squeeze": "dry", "entry_id": new_entry_id()}
    outcomes = [send(client, fields, waited_s=w * HOURS)[1]["outcome"] for w in (1, 2, 3)]
    assert outcomes == ["stored", "there", "there"]
    readings = [e for e in garden.entries() if e.kind is EntryKind.READING]
    assert [e.at for e in readings] == [NOW - timedelta(hours=1)]


def test_the_same_form_sent_by_the_browser_itself_is_known_again(
    client: TestClient, garden: Garden
) -> None:
    fields = {"bin": "left", "temperature": "131", "entry_id": new_entry_id()}
    assert send(client, fields, waited_s=HOURS)[1]["outcome"] == "stored"
    before = len(garden.entries())
    assert "again=1" in client.post("/log", data=fields).headers["location"]
    assert len(garden.entries()) == before


def test_an_improbable_reading_is_asked_about_only_while_somebody_stands_there(
    client: TestClient, garden: Garden
) -> None:
    before = len(garden.entries())
    status, said = send(client, {"temperature": "190"}, Heapwright_Asking="yes")
    assert (status, said["outcome"]) == (422, "question")
    assert "190 °F" in said["words"]
    assert len(garden.entries()) == before
    status, said = send(client, {"temperature": "190"}, waited_s=HOURS)
    assert (status, said["outcome"]) == (200, "stored")
    assert "190 °F" in said["doubt"]


def test_what_cannot_be_is_refused_in_words_and_not_stored(
    client: TestClient, garden: Garden
) -> None:
    before = len(garden.entries())
    status, said = send(client, {"temperature": "hot", "note": "steam"}, waited_s=HOURS)
    assert (status, said["outcome"]) == (422, "refused")
    assert '"hot" is not a number' in said["words"]
    assert set(said["problems"]) == {"temperature"}
    status, said = send(client, {"temperature": "640"}, waited_s=HOURS)
    assert (status, said["outcome"]) == (422, "refused")
    assert len(garden.entries()) == before


def test_what_makes_no_sense_by_now_is_kept_and_told(
    client: TestClient, garden: Garden, clock: StillClock
) -> None:
    now_refused = {"bin": "right", "temperature": "120"}
    assert send(client, now_refused, Heapwright_Asking="yes")[1]["outcome"] == "refused"
    status, said = send(client, now_refused, waited_s=2 * HOURS)
    assert (status, said["outcome"]) == (200, "stored")
    assert garden.state().problems != ()


def test_another_garden_refuses_and_says_that_it_waits(client: TestClient, garden: Garden) -> None:
    before = len(garden.entries())
    status, said = send(client, {"temperature": "131"}, Heapwright_Garden="0123456789abcdef")
    assert (status, said["outcome"]) == (409, "elsewhere")
    assert "waits on the phone" in said["words"]
    assert len(garden.entries()) == before
    assert send(client, {"temperature": "131"}, Heapwright_Garden=garden_mark(garden))[0] == 200


def test_what_is_stored_is_acknowledged_even_if_it_cannot_be_told(
    client: TestClient, garden: Garden, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise NameError("a defect")

    monkeypatch.setattr("heapwright.web.told.telling", broken)
    status, said = send(client, {"temperature": "131"}, waited_s=HOURS)
    assert (status, said["outcome"], said["words"]) == (200, "stored", "")


def test_the_answer_is_never_kept_and_the_page_it_names_is_there(client: TestClient) -> None:
    answer = client.post(
        "/log", data={"bin": "left", "note": "wet rim"}, headers={"Accept": "application/json"}
    )
    assert answer.headers["cache-control"] == "no-store"
    assert "wet rim" in client.get(answer.json()["page"]).text
