"""Laws of probes' reports: any order and any repeats give one journal; thinning invents nothing."""

from __future__ import annotations

import tempfile
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heapwright.journal.entries import BatchState, Entry, EntryKind
from heapwright.probes import thin
from heapwright.probes.clock import clock_of, moment_of, taken_at
from heapwright.probes.health import Ill, troubles, usual_interval
from heapwright.probes.settings import probe_limits
from heapwright.probes.types import Heard, Report
from heapwright.probes.words import to_do, told
from heapwright.quantities import UnitSystem
from heapwright.sentences import Reader, render
from heapwright.workshop import probe_series, probes, setup
from heapwright.workshop.garden import Garden
from heapwright.workshop.probe_receive import receive

NOW = datetime(2026, 6, 10, 15, tzinfo=UTC)
HOUR, MINUTE = timedelta(hours=1), timedelta(minutes=1)

_times = st.integers(0, 300).map(lambda n: NOW - n * 10 * MINUTE)
_values = st.integers(-30 * 16, 84 * 16).map(lambda n: n / 16)
_depths = st.sampled_from([None, 0.2, 0.6])
_reports = st.builds(Report, _values, at=_times, depth_m=_depths)


@st.composite
def deliveries(draw: st.DrawFn) -> tuple[list[Report], list[list[Report]]]:
    """Draw readings, and batches in which each comes at least once, in any order, some often."""
    readings = draw(st.lists(_reports, min_size=1, max_size=12, unique=True))
    more = draw(st.lists(st.sampled_from(readings), max_size=12))
    shuffled = draw(st.permutations([*readings, *more]))
    cuts = sorted(draw(st.lists(st.integers(0, len(shuffled)), max_size=4)))
    edges = [0, *cuts, len(shuffled)]
    batches = [shuffled[a:b] for a, b in pairwise(edges)]
    return readings, [batch for batch in batches if batch]


def journal_after(batches: list[list[Report]]) -> set[tuple[str, str, str]]:
    """Return what a fresh garden holds of the probe after these batches."""
    with (
        tempfile.TemporaryDirectory() as folder,
        Garden.open(Path(folder) / "g.heapwright", lambda: NOW) as garden,
    ):
        size = {"width_m": 1.0, "depth_m": 1.0, "height_m": 1.0}
        setup.save_bin(garden, name="Left", origin="page", **size)
        probes.add_probe(garden, "Core", "left", origin="page")
        for batch in batches:
            receive(garden, "core", batch)
        found = [e for e in garden.entries() if e.origin == "probe"]
        assert len({e.id for e in found}) == len(found)
        return {(e.id, e.at.isoformat(), repr(sorted(e.body.items()))) for e in found}


@settings(max_examples=15)
@given(deliveries())
def test_any_order_and_any_repeats_give_the_same_journal(
    drawn: tuple[list[Report], list[list[Report]]],
) -> None:
    readings, batches = drawn
    assert journal_after(batches) == journal_after([readings])
    assert len(journal_after([readings])) == len(readings)


@given(_times, st.integers(-100 * 365, 100 * 365), st.integers(0, 86_399))
def test_a_wrong_clock_changes_nothing_if_it_says_what_it_shows(
    at: datetime, days: int, seconds: int
) -> None:
    wrong = timedelta(days=days, seconds=seconds)
    clock = clock_of(NOW + wrong, NOW)
    found = taken_at(Report(50.0, at=at + wrong), clock, NOW)
    limit = timedelta(seconds=probe_limits()["clock_right_s"])
    assert abs(found - at) <= (limit if clock.is_right else timedelta(0))
    assert clock.is_right == (abs(wrong) <= limit)


def test_a_message_that_waited_at_a_broker_does_not_make_its_clock_wrong() -> None:
    sent = NOW - 3 * HOUR
    assert clock_of(sent, NOW, may_have_waited=True).is_right
    assert not clock_of(sent, NOW).is_right
    assert not clock_of(NOW + HOUR, NOW, may_have_waited=True).is_right  # fast: it cannot be late
    assert not clock_of(moment_of(4000), NOW, may_have_waited=True).is_right  # never set


_series = st.lists(st.tuples(_times, _values), max_size=60).map(sorted)


@given(_series, st.lists(_times, max_size=4).map(sorted))
def test_the_model_is_given_one_reading_a_window_of_those_that_are(
    readings: list[tuple[datetime, float]], worked: list[datetime]
) -> None:
    chosen = thin.for_model(readings, worked)
    assert chosen == sorted(set(chosen))
    hours = probe_limits()["model_window_hours"]
    windows = {
        (at.timestamp() // (hours * 3600), sum(work <= at for work in worked)) for at, _ in readings
    }
    assert len(chosen) == len(windows)


def test_a_slip_within_a_window_is_not_what_the_model_is_given() -> None:
    start = NOW.replace(hour=0)
    day = [(start + n * 10 * MINUTE, 55.0 if n != 3 else 90.0) for n in range(144)]
    assert {day[index][1] for index in thin.for_model(day, [])} == {55.0}


def test_what_the_model_was_given_stays_until_the_next_window() -> None:
    start = NOW.replace(hour=0)
    day = [(start + n * 10 * MINUTE, 50.0 + n % 7) for n in range(100)]
    before = [day[i] for i in thin.for_model(day[:75], [])]
    after = [day[i] for i in thin.for_model(day[:80], [])]
    assert before == after


@given(_series)
def test_shown_are_first_and_last_and_no_change_is_hidden(
    readings: list[tuple[datetime, float]],
) -> None:
    change, longest = 0.5, 6 * HOUR
    chosen = thin.for_showing(readings, change, longest)
    if not readings:
        assert chosen == []
        return
    assert chosen[0] == 0
    assert chosen[-1] == len(readings) - 1
    shown = -1
    for index, (at, value) in enumerate(readings):
        if index in chosen:
            shown = index
        else:
            assert abs(value - readings[shown][1]) < change
            assert at - readings[shown][0] < longest


@given(_series)
def test_the_proof_of_heat_never_counts_an_hour_hotter_than_it_was(
    readings: list[tuple[datetime, float]],
) -> None:
    length = probe_limits()["proof_window_hours"] * 3600
    for index in thin.for_proof(readings):
        window = readings[index][0].timestamp() // length
        assert readings[index][1] == min(
            v for t, v in readings if t.timestamp() // length == window
        )


def a_reading(number: int, at: datetime, celsius: float, origin: str) -> Entry:
    body = {"bin": "left", "temperature_c": celsius, "depth_m": 0.4, "probe": "core"}
    return Entry(f"{number:032x}", EntryKind.READING, at, body, at, origin=origin)


def test_what_a_person_read_is_never_left_out_and_the_newest_always_counts() -> None:
    every = [a_reading(n, NOW - n * 10 * MINUTE, 55.0, "probe") for n in range(300)]
    by_hand = [a_reading(1000 + n, NOW - n * HOUR, 54.0, "page") for n in range(20)]
    entries = tuple(sorted([*every, *by_hand], key=lambda e: (e.at, e.id)))
    batch = BatchState("b", "B", "left", "hot", NOW - timedelta(days=3), entries)
    for choose in (probe_series.for_model, probe_series.for_rules, probe_series.for_showing,
                   probe_series.for_story, probe_series.for_proof):  # fmt: skip
        chosen = choose(batch)
        assert {e.id for e in by_hand} <= {e.id for e in chosen}
        assert len(chosen) < 60
        assert list(chosen) == [e for e in entries if e in chosen]  # in their old order
    assert every[0] in probe_series.for_rules(batch)
    assert every[0] in probe_series.for_showing(batch)


def heard(values: list[float], last: datetime = NOW, minutes: float = 10) -> list[Heard]:
    """Return readings every so many minutes up to a moment, each heard when it was taken."""
    first = last - (len(values) - 1) * minutes * MINUTE
    times = [first + n * minutes * MINUTE for n in range(len(values))]
    return [Heard(at, at, value) for at, value in zip(times, values, strict=True)]


def found(readings: list[Heard], moved: float | None = 12.0, entered: float = 100) -> list[Ill]:
    entered_at = NOW - entered * HOUR
    return [t.what for t in troubles(readings, NOW, entered_at=entered_at, others_moved_c=moved)]


MOVING = [50 + (n % 40) / 16 for n in range(300)]


def test_a_probe_that_works_is_not_ill() -> None:
    assert found(heard(MOVING)) == []


def test_a_probe_that_was_never_heard_is_told_after_its_time() -> None:
    assert found([], entered=0.5) == []
    assert found([], entered=1.5) == [Ill.NEVER_HEARD]


@pytest.mark.parametrize(
    ("minutes", "hours", "ill"),
    [(10, 1.9, False), (10, 2.1, True), (60, 3.9, False), (60, 4.1, True), (1440, 90, False)],
)
def test_a_silent_probe_is_told_by_its_own_interval(
    minutes: float, hours: float, ill: bool
) -> None:
    readings = heard(MOVING, last=NOW - hours * HOUR, minutes=minutes)
    assert found(readings, moved=None) == ([Ill.SILENT] if ill else [])


def test_a_board_that_sends_once_a_day_is_judged_by_when_it_is_heard() -> None:
    readings = [
        Heard(NOW - n * 10 * MINUTE, NOW - (n // 144) * timedelta(days=1), 50 + n % 5)
        for n in reversed(range(1440))
    ]
    assert usual_interval(readings) == timedelta(days=1)
    assert found(readings) == []


def test_a_still_value_is_stuck_only_while_something_else_moved() -> None:
    still = heard([50.0, 50.0625] * 150)
    assert found(still, moved=12.0) == [Ill.STUCK]
    assert found(still, moved=2.0) == []
    assert found(still, moved=None) == []
    assert found(still[-20:], moved=12.0) == []  # too short a time to say so
    (trouble,) = troubles(still, NOW, entered_at=NOW, others_moved_c=12.0)
    assert (trouble.value_c, trouble.since) == (50.0625, still[0].at)


def test_a_loose_wire_jumps_and_one_pull_out_of_the_heap_does_not() -> None:
    loose = [*MOVING[:-6], 50.0, 20.0, 51.0, 19.0, 50.0, 51.0]
    assert found(heard(loose)) == [Ill.JUMPS]
    pulled = [*MOVING[:-6], 50.0, 20.0, 20.1, 20.2, 20.3, 20.4]
    assert found(heard(pulled)) == []


@pytest.mark.parametrize("units", list(UnitSystem))
def test_every_trouble_is_told_with_what_to_do(units: UnitSystem) -> None:
    reader = Reader(units=units)
    sick = [
        *troubles([], NOW, entered_at=NOW - 3 * HOUR, others_moved_c=None),
        *troubles(heard(MOVING, NOW - 30 * HOUR), NOW, entered_at=NOW, others_moved_c=None),
        *troubles(heard([50.0] * 300), NOW, entered_at=NOW, others_moved_c=9.0),
        *troubles(heard([*MOVING, 20.0, 50.0, 20.0]), NOW, entered_at=NOW, others_moved_c=None),
    ]
    assert {one.what for one in sick} == set(Ill)
    for one in sick:
        words = render(told(one, "Core left", 30.0), reader)
        assert "Core left" in words
        assert "{" not in words + render(to_do(one), reader)
