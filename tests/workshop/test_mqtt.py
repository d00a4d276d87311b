"""Probes report through a real broker: each reading once, whoever is killed when.

MQTT 3.1.1 (OASIS standard, section 4.3.2): with QoS 1 a message arrives at least once; that it is
stored exactly once is ours. The broker is mosquitto, in a process of its own.
"""

from __future__ import annotations

import random
import signal
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from heapwright.journal.entries import EntryKind
from heapwright.workshop import probes, setup
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log
from tests.laws.journal_cases import FILL
from tests.workshop.mqtt_broker import ListeningProgram, PublishingBoard, RealBroker, wait_for

#: Messages published while broker and listener are killed at random moments, and the kills.
MESSAGES, KILLS = 300, 12


@pytest.fixture
def broker(tmp_path: Path) -> Iterator[RealBroker]:
    folder = tmp_path / "broker"
    folder.mkdir()
    real = RealBroker(folder)
    real.start()
    yield real
    real.end()


@pytest.fixture
def garden_file(tmp_path: Path) -> Path:
    return tmp_path / "garden.heapwright"


@pytest.fixture
def made(garden_file: Path) -> probes.ProbeMade:
    with Garden.open(garden_file) as garden:
        size = {"width_m": 0.92, "depth_m": 0.92, "height_m": 0.92}
        setup.save_bin(garden, name="Left", origin="page", **size)
        body = {"batch": "h", "name": "Heap", "bin": "left", "fill": FILL}
        at = datetime.now(UTC) - timedelta(days=2)
        log(garden, EntryKind.BUILD, body, at=at, origin="page")
        return probes.add_probe(garden, "Core left", "left", origin="page")


@pytest.fixture
def board(broker: RealBroker, made: probes.ProbeMade) -> Iterator[PublishingBoard]:
    publishing = PublishingBoard(broker.port, made.key, made.token)
    wait_for(lambda: publishing.is_connected, "the board reaches the broker")
    yield publishing
    publishing.close()


@pytest.fixture
def program(broker: RealBroker, garden_file: Path) -> Iterator[ListeningProgram]:
    listening = ListeningProgram(broker.port, garden_file)
    listening.start()
    wait_for(lambda: listening.has_said("Listening to"), "the program listens")
    yield listening
    listening.kill()


def stored(garden_file: Path) -> list[float]:
    """Return the temperatures that probes have reported, in order."""
    with Garden.open(garden_file) as garden:
        found = [e for e in garden.entries() if e.origin == "probe"]
    return sorted(e.body["temperature_c"] for e in found)


def reading(number: int) -> dict[str, Any]:
    """Return one of many readings, every one of another minute and value."""
    at = datetime.now(UTC).replace(second=0, microsecond=0) - timedelta(minutes=number + 5)
    return {"at": at.isoformat().replace("+00:00", "Z"), "temperature_c": value(number)}


def value(number: int) -> float:
    """Return the temperature of that reading, by which it is known again."""
    return 20.0 + number / 16


def test_what_is_published_is_stored_and_answered_if_asked(
    garden_file: Path, board: PublishingBoard, program: ListeningProgram
) -> None:
    board.publish(reading(1), reading(2), reading(1), answer=True)
    wait_for(lambda: bool(board.answers), "the answer")
    assert board.answers[0]["stored"] == 2
    assert board.answers[0]["already_there"] == 1
    assert stored(garden_file) == [value(1), value(2)]
    summary = "core-left: 2 stored, 1 there already, 0 refused"
    wait_for(lambda: program.has_said(summary), "the line that tells it")


def test_bad_payloads_are_told_in_a_line_without_the_token_and_hold_nothing_up(
    garden_file: Path, board: PublishingBoard, program: ListeningProgram
) -> None:
    token, board.token = board.token, "not-the-token-0123456789"
    board.publish(reading(1))
    board.token = token
    for payload in (b"\xff\x00", b"[1]", b"57.5", b"{}", b"x" * 70_000):
        board.publish_raw(payload)
    board.publish({"temperature_c": -127}, reading(2))
    wait_for(lambda: program.has_said("1 stored, 0 there already, 1 refused"), "the last message")
    assert stored(garden_file) == [value(2)]
    told = [line for line in program.lines if "not stored" in line]
    assert len(told) == 6
    assert not any(secret in line for line in program.lines for secret in (token, "not-the-token"))


def test_a_message_the_broker_keeps_counts_once_and_only_with_its_time(
    garden_file: Path, board: PublishingBoard, broker: RealBroker, program: ListeningProgram
) -> None:
    program.kill()
    confirmed = board.publish(reading(1), {"temperature_c": 59.0}, retain=True)
    wait_for(confirmed.is_published, "the broker confirms")
    for _ in range(2):  # it is handed out again to whoever subscribes
        program.lines.clear()
        program.start()
        wait_for(lambda: program.has_said("1 there already, 1 refused"), "the kept message")
        program.kill()
    # It came live once too, from the session that the broker kept: then "just now" is known.
    assert stored(garden_file) == [value(1), 59.0]


def test_ctrl_c_ends_it_with_words(board: PublishingBoard, program: ListeningProgram) -> None:
    assert program.interrupt() == 0
    wait_for(lambda: program.has_said("Everything that was acknowledged is saved"), "its last line")


def test_a_broker_that_is_not_there_or_refuses_is_told_once(
    garden_file: Path, made: probes.ProbeMade, broker: RealBroker
) -> None:
    broker.end()
    program = ListeningProgram(broker.port, garden_file)
    program.start()
    wait_for(lambda: program.has_said("cannot be reached"), "the complaint")
    broker.start(lets_anybody_in=False)
    wait_for(lambda: program.has_said("The broker refuses"), "the other complaint")
    broker.end()
    broker.start()
    wait_for(lambda: program.has_said("Listening to"), "it comes back by itself")
    program.kill()
    assert sum("The broker refuses" in line for line in program.lines) == 1
    assert sum("cannot be reached" in line for line in program.lines) <= 2  # at each end of it


@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGKILL])
def test_everything_published_arrives_once_whoever_is_killed(
    garden_file: Path,
    broker: RealBroker,
    board: PublishingBoard,
    program: ListeningProgram,
    how: signal.Signals,
) -> None:
    """Kill broker and listener at random moments while a board publishes.

    A broker that is stopped keeps what it confirmed. One that is killed may lose it, so there the
    board asks for answers and publishes again what was not answered, as docs/probes.md tells.
    """
    chance = random.Random(2026)
    asks = how is signal.SIGKILL
    readings = {number: reading(number) for number in range(MESSAGES)}

    moments = set(chance.sample(range(MESSAGES), KILLS))

    def publish(number: int) -> None:
        board.publish(readings[number], answer=asks)

    for number in range(MESSAGES):
        publish(number)
        if number in moments:
            _kill_one(chance, broker, program, how)
        time.sleep(chance.choice((0.0, 0.0, 0.01)))
    everything = sorted(value(number) for number in range(MESSAGES))
    give_up = time.monotonic() + 120
    while (have := stored(garden_file)) != everything and time.monotonic() < give_up:
        if asks and board.is_connected:
            for number in range(MESSAGES):
                if value(number) not in have:
                    publish(number)
        time.sleep(1.0)
    assert stored(garden_file) == everything


def _kill_one(
    chance: random.Random, broker: RealBroker, program: ListeningProgram, how: signal.Signals
) -> None:
    if chance.random() < 0.5:
        program.kill()
        program.start()
    else:
        broker.end(how)
        broker.start()
