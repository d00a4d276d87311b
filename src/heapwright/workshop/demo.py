"""Fills an empty journal with an invented garden to look at, and clears it away again.

Knows the scenario of `data/demo_garden.toml` and how readings are drawn from the heap model with
noise. Everything in it is invented and says so (origin "demo", the garden's name).
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np

from heapwright.errors import AlreadyThere
from heapwright.heap.types import HeapRun
from heapwright.journal.entries import BatchState, Entry, EntryKind, GardenState
from heapwright.journal.fold import fold
from heapwright.quantities.containers import fullness_words
from heapwright.tables import read_toml
from heapwright.workshop.answers import LogAnswer
from heapwright.workshop.garden import Garden
from heapwright.workshop.history import heap_history
from heapwright.workshop.log import counting, log_many, make_entry
from heapwright.workshop.stock import find_container
from heapwright.workshop.weather import usual_weather

#: Seed of the hidden heaps the readings are drawn from, and of their noise.
SEED = 20
#: How far the hidden heap's numbers lie from the table's towards a draw from its ranges.
FAR = 0.4
NOISE_SD_C = 1.2
STEP_C = 5.0 / 9.0  # read to the whole °F
ZONE = ZoneInfo("America/Phoenix")
READING_TIME = time(7, 30)
WORKING_TIME = time(9, 0)
Scenario = Mapping[str, Any]


def fill_demo_garden(garden: Garden) -> LogAnswer:
    """Write the invented garden into an empty journal, in one transaction.

    Raises
    ------
    AlreadyThere
        If the journal holds anything.

    """
    if garden.entries():
        raise AlreadyThere(
            "This journal is not empty",
            why="the invented garden would mix with what is yours",
            instead="Give another file for the demo",
        )
    scenario = read_toml("heapwright.workshop", "data/demo_garden.toml")
    told = garden.checked(list(_told(garden, scenario)))
    state = fold(told)
    readings = [
        entry
        for number, row in enumerate(scenario["batches"])
        for entry in _readings(garden, state, row, number)
    ]
    return log_many(garden, [*told, *readings])


def leave_demo_garden(garden: Garden, *, origin: str) -> LogAnswer:
    """Take back all that an invented garden's journal holds, so that a person's own can begin.

    The journal keeps every entry; what was taken back can be brought back. In a garden that is
    not invented nothing is done.
    """
    if not garden.state().settings.is_demo:
        return log_many(garden, [])
    taken_back = [
        make_entry(garden, EntryKind.UNDO, {"of": one}, origin=origin)
        for one in sorted(counting(garden))
    ]
    return log_many(garden, taken_back)


def _told(garden: Garden, scenario: Scenario) -> Iterator[Entry]:
    """Yield everything but the readings."""
    start = _ago(garden, 120.0)
    yield _entry(garden, EntryKind.GARDEN, start, scenario["garden"])
    for row in scenario["bins"]:
        yield _entry(garden, EntryKind.BIN, start, {**scenario["bin_form"], **row})
    for row in scenario["lots"]:
        yield _lot(garden, row)
    for batch in scenario["batches"]:
        yield from _batch(garden, batch)
    yield _entry(garden, EntryKind.SITE, start, scenario["site"])
    yield _entry(garden, EntryKind.WISHES, start, scenario["wishes"])
    for row in scenario["arrivals"]:
        yield _entry(garden, EntryKind.ARRIVAL, start, row)
    for row in scenario["beds"]:
        due = _next_day_of_year(garden, row["due"])
        yield _entry(garden, EntryKind.BED, start, {**row, "due": due.isoformat()})


def _next_day_of_year(garden: Garden, month_day: str) -> date:
    """Return the next day of a month and day, today not among them."""
    today = garden.now().astimezone(ZONE).date()
    this_year = date.fromisoformat(f"{today.year}-{month_day}")
    return this_year if this_year > today else this_year.replace(year=today.year + 1)


def _lot(garden: Garden, row: Scenario) -> Entry:
    container = find_container(garden, row["container"])
    full = fullness_words()[row["fullness"]] if "fullness" in row else container.usual_fullness
    body = {
        "key": row["key"],
        "material_key": row["material_key"],
        "container_name": container.name,
        "container_volume_m3": container.volume_m3,
        "count": row["count"],
        "fullness": [full.low, full.typical, full.high],
        "packing": row.get("packing", "loose"),
        "keep_back": row.get("keep_back", 0),
        "measured": row.get("measured", {}),
    }
    return _entry(garden, EntryKind.LOT, _ago(garden, row["days_ago"]), body)


def _batch(garden: Garden, row: Scenario) -> Iterator[Entry]:
    lines = [{"lot": lot, "count": count} for lot, count in row["lines"].items()]
    body = {
        "batch": row["key"],
        "name": row["name"],
        "bin": row["bin"],
        "lines": lines,
        "water_kg": row["water_kg"],
        "cover": "brown cap",
    }
    yield _entry(garden, EntryKind.BUILD, _ago(garden, row["built_days_ago"]), body)
    here = row["bin"]
    for done in row.get("done", ()):
        at = _ago(garden, done["days_ago"])
        if done["kind"] == "cure":
            yield _entry(garden, EntryKind.CURE, at, {"bin": here})
            continue
        turn = {"bin": here, "how": "stir", "water_kg": done["water_kg"], "cover": "brown cap"}
        if "to_bin" in done:
            turn |= {"how": "move", "to_bin": done["to_bin"]}
            here = done["to_bin"]
        yield _entry(garden, EntryKind.TURN, at, turn)
    for look in row.get("looks", ()):
        seen = {name: value for name, value in look.items() if name != "days_ago"}
        at = _ago(garden, look["days_ago"])
        yield _entry(garden, EntryKind.LOOK, at, {"bin": here, **seen})


def _readings(garden: Garden, state: GardenState, row: Scenario, number: int) -> Iterator[Entry]:
    """Yield readings drawn from a hidden heap of the same history, with noise."""
    from heapwright.heap.probe import probe_temperature

    batch = state.batches[row["key"]]
    rng = np.random.default_rng([SEED, number])
    run = _hidden_run(garden, state, batch, rng)
    depth = state.settings.probe_depth_m
    reads_c = probe_temperature(run, depth)
    last = _last_reading_days(row)
    day = row["built_days_ago"] - 1
    while day > last:
        at = _reading_time(garden, day)
        noisy = reads_c[_hour_of(run, at)] + rng.normal(0.0, NOISE_SD_C)
        body = {
            "bin": _bin_at(batch, at),
            "temperature_c": round(float(noisy) / STEP_C) * STEP_C,
            "depth_m": depth,
            "where": "core",
        }
        yield _entry(garden, EntryKind.READING, at, body)
        day -= row["read_every_days"]


def _hidden_run(
    garden: Garden, state: GardenState, batch: BatchState, rng: np.random.Generator
) -> HeapRun:
    from heapwright.heap.parameters import Parameters, load_parameters, sample_parameters
    from heapwright.heap.simulate import simulate

    history = heap_history(state, batch, 4)
    weather = usual_weather(state.settings.climate, history.start, garden.now())
    drawn = sample_parameters(1, rng)[0]
    hidden = Parameters.from_array(load_parameters().to_array() * (1 - FAR) + drawn * FAR)
    fill = history.fills[-1]
    return simulate(history.shape, fill, weather, history.actions, parameters=hidden)


def _hour_of(run: HeapRun, at: datetime) -> int:
    return min(run.hours, round((at - run.start) / timedelta(hours=1)))


def _last_reading_days(row: Scenario) -> float:
    cures = [done["days_ago"] for done in row.get("done", ()) if done["kind"] == "cure"]
    return cures[0] if cures else -0.5


def _bin_at(batch: BatchState, at: datetime) -> str:
    """Return the bin the batch lay in at a time."""
    here = ""
    for entry in batch.entries:
        if entry.at > at:
            break
        if entry.kind is EntryKind.BUILD:
            here = str(entry.body["bin"])
        elif entry.body.get("how") == "move":
            here = str(entry.body["to_bin"])
    return here


def _ago(garden: Garden, days: float) -> datetime:
    """Return the working hour of the day so many days ago; within the last day, that moment."""
    if days < 1:
        return garden.now() - timedelta(days=days)
    return _on_day(garden, days, WORKING_TIME)


def _reading_time(garden: Garden, days: float) -> datetime:
    """Return the morning so many days ago, or this moment if that morning is still to come."""
    return min(_on_day(garden, days, READING_TIME), garden.now())


def _on_day(garden: Garden, days: float, at: time) -> datetime:
    day = (garden.now().astimezone(ZONE) - timedelta(days=days)).date()
    return datetime.combine(day, at, ZONE).astimezone(UTC)


def _entry(garden: Garden, kind: EntryKind, at: datetime, body: Mapping[str, Any]) -> Entry:
    """Return an invented entry; its id follows from what it says, so twice is once."""
    text = f"demo {kind} {at.isoformat()} {sorted(body.items())!r}"
    return Entry(
        id=hashlib.sha256(text.encode()).hexdigest()[:32],
        kind=kind,
        at=at,
        body=body,
        written_at=garden.now(),
        origin="demo",
    )
