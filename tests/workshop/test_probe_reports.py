"""A thermometer reports over HTTP: what is stored, known again, set right, refused, and held back.

The sensor's code is its data sheet's (power-on value 85 °C, Table 1); status codes are those of
RFC 9110 and RFC 6750.
"""

from __future__ import annotations

import json
import stat
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest
from fastapi.testclient import TestClient

from heapwright.journal.entries import EntryKind
from heapwright.journal.probe_tokens import ProbeTokens
from heapwright.web.app import create_app
from heapwright.workshop import probes
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log
from heapwright.workshop.transfer import export_journal, export_readings_csv
from tests.laws.journal_cases import FILL
from tests.workshop.conftest import StillClock


@pytest.fixture
def heap(garden: Garden, clock: StillClock) -> Garden:
    body = {"batch": "h", "name": "June heap", "bin": "left", "fill": FILL}
    log(garden, EntryKind.BUILD, body, at=clock.now - timedelta(days=3), origin="page")
    return garden


class Board:
    """A small radio board: its key and token, and what it sends."""

    def __init__(self, client: TestClient, made: probes.ProbeMade) -> None:
        self.client, self.key, self.token = client, made.key, made.token
        self.address = f"/api/probes/{made.key}/readings"
        self.headers = {"Authorization": f"Bearer {made.token}"}

    def send(self, *readings: dict[str, Any], **more: Any) -> dict[str, Any]:
        message = {"readings": list(readings), **more}
        answer = self.client.post(self.address, json=message, headers=self.headers)
        assert answer.status_code == 200, answer.text
        found: dict[str, Any] = answer.json()
        return found


@pytest.fixture
def board(heap: Garden) -> Iterator[Board]:
    made = probes.add_probe(heap, "Core left", "left", depth_m=0.4, origin="page")
    with TestClient(create_app(heap), base_url="http://127.0.0.1") as client:
        yield Board(client, made)


def stored(garden: Garden) -> list[tuple[str, float, float]]:
    """Return the probe's readings: when, how hot, how deep."""
    return sorted(
        (f"{e.at:%dT%H:%M:%S}", e.body["temperature_c"], e.body["depth_m"])
        for e in garden.entries()
        if e.origin == "probe"
    )


def test_a_reading_is_stored_with_the_probes_bin_depth_and_name(heap: Garden, board: Board) -> None:
    answer = board.send({"at": "2026-06-10T14:20:00Z", "temperature_c": 57.5})
    assert (answer["stored"], answer["already_there"], answer["refused"]) == (1, 0, 0)
    (entry,) = (e for e in heap.entries() if e.origin == "probe")
    assert entry.id == answer["readings"][0]["id"]
    assert entry.body == {
        "bin": "left", "temperature_c": 57.5, "depth_m": 0.4, "probe": "core-left"
    }  # fmt: skip
    assert entry in heap.state().batches["h"].entries


def test_late_repeated_and_mixed_batches_store_each_reading_once(
    heap: Garden, board: Board
) -> None:
    one = {"at": "2026-06-10T12:00:00Z", "temperature_c": 55.0}
    two = {"at": 1781094000, "temperature_f": 134.6}  # 12:20 UTC as seconds since 1970
    board.send(two)
    answer = board.send(one, two, one)
    assert [r["outcome"] for r in answer["readings"]] == [
        "stored",
        "already there",
        "already there",
    ]
    assert stored(heap) == [("10T12:00:00", 55.0, 0.4), ("10T12:20:00", 57.0, 0.4)]


def test_two_depths_at_one_moment_are_two_readings(heap: Garden, board: Board) -> None:
    at = "2026-06-10T12:00:00Z"
    board.send(
        {"at": at, "temperature_c": 55.0, "depth_m": 0.2},
        {"at": at, "temperature_c": 55.0, "depth_m": 0.6},
    )
    assert [depth for _, _, depth in stored(heap)] == [0.2, 0.6]


def test_a_wrong_clock_is_set_right_by_what_it_showed_when_sending(
    heap: Garden, board: Board, clock: StillClock
) -> None:
    # The board was never set: it counts from 2000, and sends an hour after it began.
    readings = [{"at": f"2000-01-01T00:{minute}:00Z", "temperature_c": 50.0} for minute in (10, 20)]
    first = board.send(*readings, sent_at="2000-01-01T01:00:00Z")
    assert first["clock_shifted_s"] == pytest.approx(clock.now.timestamp() - 946688400)
    assert stored(heap) == [("10T14:10:00", 50.0, 0.4), ("10T14:20:00", 50.0, 0.4)]
    clock.go_on(seconds=9)  # not answered in time: sent again with the clock as it is then
    again = board.send(*readings, sent_at="2000-01-01T01:00:08Z")
    assert again["already_there"] == 2
    clock.go_on(hours=5)  # the power failed: the same stamps come again, and are new readings
    later = board.send(*readings, sent_at="2000-01-01T00:30:00Z")
    assert later["stored"] == 2
    assert len(stored(heap)) == 4


def test_a_board_without_a_clock_says_how_long_ago(
    heap: Garden, board: Board, clock: StillClock
) -> None:
    board.send({"ago_s": 600, "temperature_c": 50.0}, {"ago_s": 0, "temperature_c": 50.0})
    clock.go_on(seconds=20)
    again = board.send({"ago_s": 620, "temperature_c": 50.0}, {"ago_s": 21, "temperature_c": 50.0})
    assert again["already_there"] == 2
    assert [at for at, _, _ in stored(heap)] == ["10T14:50:00", "10T15:00:00"]


def test_one_line_is_one_temperature_now(heap: Garden, board: Board) -> None:
    headers = {**board.headers, "Content-Type": "text/plain"}
    for line in ("57.5", "136.4F"):
        answer = board.client.post(board.address, content=line, headers=headers)
        assert answer.json()["stored"] == 1, answer.text
    assert stored(heap) == [("10T15:00:00", 57.5, 0.4), ("10T15:00:00", 58.0, 0.4)]


@pytest.mark.parametrize(
    ("reading", "words"),
    [
        ({"temperature_c": 85.0}, "starts with before its first measurement"),
        ({"temperature_f": 185.0}, "starts with before its first measurement"),
        ({"temperature_c": -127}, "no sensor answers"),
        ({"temperature_c": 96.0}, "lies between"),
        ({"temperature_c": 50, "at": "2026-06-10T15:30:00Z"}, "has not been taken yet"),
        ({"temperature_c": 50, "at": 3600}, "too old to be true"),
        ({"temperature_c": 50, "at": 1781095200000}, "milliseconds"),
        ({"temperature_c": 50, "at": "2026-06-10 15:30"}, "is not one"),
        ({"temperature_c": "50"}, "valid number"),
        ({"temperature_c": 50, "temperature_f": 122}, "either"),
        ({}, "either"),
        ({"temperature_c": 50, "ago_s": -1}, "greater than or equal to 0"),
        ({"temperature_c": 50, "at": 1781095200, "ago_s": 1}, "not both"),
        ({"temperature_c": 50, "depth_m": 9}, "lies between"),
    ],
)
def test_what_cannot_be_is_told_and_does_not_hold_up_the_others(
    heap: Garden, board: Board, reading: dict[str, Any], words: str
) -> None:
    answer = board.send(reading, {"at": "2026-06-10T12:00:00Z", "temperature_c": 55.0})
    assert [r["outcome"] for r in answer["readings"]] == ["refused", "stored"]
    assert words in answer["readings"][0]["problem"]["detail"]
    assert stored(heap) == [("10T12:00:00", 55.0, 0.4)]


@pytest.mark.parametrize(
    "body", [b"", b"[]", b"{", b'{"readings": []}', b'{"readings": 3}', b"\xff"]
)
def test_what_is_no_message_is_told(board: Board, body: bytes) -> None:
    answer = board.client.post(board.address, content=body, headers=board.headers)
    assert answer.status_code == 422
    assert answer.json()["what"]


def test_too_much_at_once_is_refused_unread(board: Board) -> None:
    many = {"readings": [{"temperature_c": 50.0, "ago_s": n} for n in range(501)]}
    assert board.client.post(board.address, json=many, headers=board.headers).status_code == 422
    large = board.client.post(board.address, content=b" " * 70_000, headers=board.headers)
    assert large.status_code == 413


@pytest.mark.parametrize("header", [None, "Bearer", "Bearer wrong", "Basic abc", "Bearer \u00e9"])
def test_without_the_right_token_nothing_is_stored(
    heap: Garden, board: Board, header: str | None
) -> None:
    headers = {} if header is None else {"Authorization": header.encode("latin-1")}
    answer = board.client.post(board.address, json={"temperature_c": 50}, headers=headers)
    assert answer.status_code == 401
    assert answer.headers["WWW-Authenticate"].startswith("Bearer")
    assert stored(heap) == []


def test_a_token_opens_its_own_probe_alone_and_ends_when_renewed(
    heap: Garden, board: Board
) -> None:
    other = probes.add_probe(heap, "Core right", "right", origin="page")
    assert board.client.post(
        f"/api/probes/{other.key}/readings", json={"temperature_c": 50}, headers=board.headers
    ).status_code == 401  # fmt: skip
    probes.renew_token(heap, board.key)
    answer = board.client.post(board.address, json={"temperature_c": 50}, headers=board.headers)
    assert answer.status_code == 401


def test_a_withdrawn_probe_is_not_heard(heap: Garden, board: Board) -> None:
    board.send({"temperature_c": 50})
    probes.withdraw_probe(heap, board.key, origin="page")
    answer = board.client.post(board.address, json={"temperature_c": 51}, headers=board.headers)
    assert answer.status_code == 401
    assert len(stored(heap)) == 1


def test_who_guesses_or_floods_is_asked_to_wait(heap: Garden, board: Board) -> None:
    wrong = {"Authorization": "Bearer wrong"}
    codes = [
        board.client.post(board.address, json={"temperature_c": 50}, headers=wrong).status_code
        for _ in range(25)
    ]
    assert codes == [401] * 20 + [429] * 5
    answer = board.client.post(board.address, json={"temperature_c": 50}, headers=wrong)
    assert 0 < int(answer.headers["Retry-After"]) <= 60


def test_a_late_reading_goes_to_the_bin_the_probe_was_in(
    heap: Garden, board: Board, clock: StillClock
) -> None:
    clock.go_on(hours=2)
    probes.move_probe(heap, board.key, "right", origin="page")
    clock.go_on(hours=2)
    board.send({"ago_s": 3 * 3600, "temperature_c": 50.0}, {"ago_s": 60, "temperature_c": 20.0})
    bins = {e.body["temperature_c"]: e.body["bin"] for e in heap.entries() if e.origin == "probe"}
    assert bins == {50.0: "left", 20.0: "right"}
    # Nothing stands there: that is no mistake of a probe, so nothing is told.
    assert heap.state().problems == ()


def test_the_probe_stays_in_its_bin_when_the_heap_goes_on(heap: Garden, board: Board) -> None:
    log(heap, EntryKind.TURN, {"bin": "left", "how": "move", "to_bin": "right"}, origin="page")
    assert heap.state().probes[board.key].bin_key == "left"


def test_no_export_and_no_journal_holds_a_token(heap: Garden, board: Board) -> None:
    board.send({"temperature_c": 50.0})
    tokens = ProbeTokens(heap.path)
    assert stat.S_IMODE(tokens.path.stat().st_mode) == 0o600
    for text in (export_journal(heap), export_readings_csv(heap), json.dumps(board.send({}))):
        assert board.token not in text
    for file in heap.path.parent.iterdir():
        assert board.token.encode() not in file.read_bytes(), file.name


def test_the_list_for_programs_tells_how_each_is(
    heap: Garden, board: Board, clock: StillClock
) -> None:
    board.send({"temperature_c": 50.0})
    clock.go_on(hours=9)
    (one,) = board.client.get("/api/probes").json()
    assert (one["key"], one["last_c"], one["has_token"]) == ("core-left", 50.0, True)
    assert "silent" in " ".join(one["ills"])
    assert "battery" in " ".join(one["ills"])
