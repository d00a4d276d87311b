"""Probes where something is wrong: a neighbour's token, a journal out of reach, hostile bytes."""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from heapwright.cli.mqtt_listener import Broker, Listener
from heapwright.errors import AlreadyThere, HeapwrightError, StoreProblem
from heapwright.journal.probe_tokens import ProbeTokens
from heapwright.journal.store import Journal
from heapwright.probes.types import Report
from heapwright.web.api_probe_models import read_line, read_message
from heapwright.web.pace import Pace
from heapwright.workshop import probes
from heapwright.workshop.garden import Garden
from tests.shared_house import HAL, KIM, OURS, THEIRS, House, shared_house


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    with shared_house(tmp_path) as opened:
        yield opened


def readings_of(garden: Garden) -> list[float]:
    return [e.body["temperature_c"] for e in garden.entries() if e.origin == "probe"]


def full(*_: Any, **__: Any) -> None:
    raise StoreProblem("The journal: the disk is full")


def taken(*_: Any, **__: Any) -> None:
    raise AlreadyThere("The id is taken")


def test_a_token_opens_its_own_garden_alone_without_a_sign_in(house: House) -> None:
    ours, theirs = house.gardens[OURS], house.gardens[THEIRS]
    mine = probes.add_probe(ours, "Core", "quince-bin", origin="page")
    next_door = probes.add_probe(theirs, "Core", "medlar-bin", origin="page")
    assert mine.key == next_door.key  # the same address: the token alone tells whose
    address = f"/api/probes/{mine.key}/readings"
    for made, value in ((mine, 51.0), (next_door, 52.0)):
        bearer = {"Authorization": f"Bearer {made.token}"}
        answer = house.phone().post(address, json={"temperature_c": value}, headers=bearer)
        assert (answer.status_code, answer.json()["stored"]) == (200, 1)
    assert (readings_of(ours), readings_of(theirs)) == ([51.0], [52.0])
    # It is no key to anything else.
    bearer = {"Authorization": f"Bearer {mine.token}"}
    assert house.phone().get("/api/probes", headers=bearer).status_code == 401
    assert house.phone().get("/api/today", headers=bearer).status_code == 401


def test_a_helper_sees_probes_and_a_keeper_enters_them(house: House) -> None:
    form = {"name": "Core", "bin": "quince-bin", "depth": "45 cm"}
    helper = house.signed_in(HAL)
    assert helper.get("/probes").status_code == 200
    assert helper.post("/probes", data=form).status_code == 403
    assert house.signed_in(KIM).post("/probes", data=form).status_code == 200
    assert list(house.gardens[OURS].state().probes) == ["core"]


def test_a_journal_out_of_reach_is_told_so_that_the_board_sends_again(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    ours = house.gardens[OURS]
    made = probes.add_probe(ours, "Core", "quince-bin", origin="page")
    bearer = {"Authorization": f"Bearer {made.token}"}
    message = {"readings": [{"at": "2026-06-18T15:00:00Z", "temperature_c": 50.0}]}
    with monkeypatch.context() as broken:
        broken.setattr(Journal, "append", full)
        answer = house.phone().post("/api/probes/core/readings", json=message, headers=bearer)
    assert answer.status_code == 503
    assert "disk is full" in answer.json()["detail"]
    again = house.phone().post("/api/probes/core/readings", json=message, headers=bearer)
    assert again.json()["stored"] == 1
    assert readings_of(ours) == [50.0]


def test_a_message_that_always_comes_second_is_told_to_come_again(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    ours = house.gardens[OURS]
    made = probes.add_probe(ours, "Core", "quince-bin", origin="page")
    bearer = {"Authorization": f"Bearer {made.token}"}
    with monkeypatch.context() as raced:
        raced.setattr(Journal, "append", taken)
        answer = house.phone().post(
            "/api/probes/core/readings", json={"temperature_c": 50.0}, headers=bearer
        )
    # RFC 9110, 15.6.4: not its fault, and to be tried again; a 422 would be thrown away.
    assert answer.status_code == 503
    assert "Send them again" in answer.json()["detail"]


class SpyClient:
    """Stands in for the library's client: remembers what was acknowledged."""

    def __init__(self) -> None:
        self.acknowledged: list[int] = []

    def ack(self, mid: int, qos: int) -> None:
        self.acknowledged.append(mid)


def test_a_message_that_could_not_be_stored_is_not_acknowledged(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    ours = house.gardens[OURS]
    made = probes.add_probe(ours, "Core", "quince-bin", origin="page")
    lines: list[str] = []
    listener = Listener(ours, Broker("nowhere", 1), "heapwright", lines.append)
    client = SpyClient()
    payload = f'{{"token": "{made.token}", "temperature_c": 50.0}}'.encode()
    message = SimpleNamespace(
        topic="heapwright/core/reading", payload=payload, mid=7, qos=1, dup=False, retain=False
    )
    with monkeypatch.context() as broken:
        broken.setattr(Journal, "append", full)
        listener._on_message(client, None, message)  # type: ignore[arg-type]
    assert client.acknowledged == []
    assert "disk is full" in lines[-1]
    listener._on_message(client, None, message)  # type: ignore[arg-type]
    assert client.acknowledged == [7]
    assert readings_of(ours) == [50.0]
    assert not any(made.token in line for line in lines)


def test_tokens_that_cannot_be_kept_are_told_and_harm_nothing(tmp_path: Path) -> None:
    tokens = ProbeTokens(tmp_path / "garden.heapwright")
    tokens.path.mkdir()
    with pytest.raises(StoreProblem, match="unharmed"):
        tokens.renew("core")


def test_a_file_of_tokens_is_never_readable_by_others(tmp_path: Path) -> None:
    before = os.umask(0)
    try:
        tokens = ProbeTokens(tmp_path / "garden.heapwright")
        token = tokens.renew("core")
    finally:
        os.umask(before)
    assert oct(tokens.path.stat().st_mode)[-3:] == "600"
    assert token.encode() not in tokens.path.read_bytes()
    assert tokens.is_right("core", token)
    assert not tokens.is_right("core", token + "x")
    assert not tokens.is_right("other", "")


_json = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(["readings", "sent_at", "at", "ago_s", "temperature_c", "id", "x"]),
            inner,
            max_size=4,
        )
    ),
    max_leaves=12,
)


@settings(max_examples=300, suppress_health_check=[HealthCheck.too_slow])
@given(st.binary(max_size=200) | _json.map(lambda said: json.dumps(said).encode()))
def test_hostile_bytes_become_words_and_never_a_trace(body: bytes) -> None:
    for read in (read_message, read_line):
        with contextlib.suppress(HeapwrightError):  # words; anything else is a fault of ours
            found = read(body)
            assert found.reports
            assert all(isinstance(one, Report | HeapwrightError) for one in found.reports)


def test_absurd_times_are_refused_with_words(house: House) -> None:
    made = probes.add_probe(house.gardens[OURS], "Core", "quince-bin", origin="page")
    bearer = {"Authorization": f"Bearer {made.token}"}
    absurd: list[dict[str, Any]] = [
        {"ago_s": 1e300},
        {"at": 1e10},
        {"at": "0001-01-01T00:00:00+23:59"},
        {"at": "9999-12-31T23:59:59-23:59"},
    ]
    message = {"readings": [{"temperature_c": 50.0, **one} for one in absurd]}
    for sent in (None, "9999-12-31T23:59:59Z", 0):
        more = {} if sent is None else {"sent_at": sent}
        answer = house.phone().post(
            "/api/probes/core/readings", json=message | more, headers=bearer
        )
        assert answer.status_code == 200, answer.text
        assert answer.json()["stored"] == 0
        assert all(one["problem"]["detail"] for one in answer.json()["readings"])


def test_the_pace_lets_go_again_after_a_minute() -> None:
    now = [datetime(2026, 6, 1, tzinfo=UTC)]
    pace = Pace(3, clock=lambda: now[0].timestamp())
    for _ in range(3):
        assert pace.wait_s("a") == 0
        pace.count("a")
    assert pace.wait_s("a") == 60
    assert pace.wait_s("b") == 0
    now[0] += timedelta(seconds=60)
    assert pace.wait_s("a") == 0
