"""Turns rows copied from the paper log into entries, each row checked for itself.

Knows the fields of a row and that a row sent twice is stored once. Knows nothing of pages.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from heapwright.errors import HeapwrightError, NotUnderstood
from heapwright.journal.bodies import checked_body
from heapwright.journal.entries import Entry, EntryKind, GardenState
from heapwright.journal.forms import SMELLS, SQUEEZES
from heapwright.quantities import UnitSystem, parse_length_m, parse_temperature_c
from heapwright.web.doubt import Doubt, Last, doubt
from heapwright.web.forms import WHOLE_FORM, Filled
from heapwright.web.here import zone_of
from heapwright.web.log_form import moments, temperature_unit
from heapwright.web.moments import read_moment
from heapwright.web.storing import Told, made_entry
from heapwright.web.water_form import read_water
from heapwright.wording import worded
from heapwright.workshop.garden import Garden
from heapwright.workshop.history import is_core_reading

#: Rows on the page; each makes at most three entries, all of which the page after it can show.
ROWS = 10
FIELDS = ("date", "time", "temperature", "depth", "squeeze", "smell", "turned", "water", "note")


@dataclass(frozen=True, slots=True)
class Row:
    """One row as it was copied: when, and what it tells."""

    number: int
    at: datetime
    told: tuple[Told, ...]


def name_of(number: int, field: str) -> str:
    """Return the name of a row's field, "row.3.date"."""
    return f"row.{number}.{field}"


def read_rows(form: Filled, garden: Garden) -> tuple[Row, ...]:
    """Return the rows that are filled in; what is wrong is held beside its field.

    Of rows that are wrong, or improbable and not confirmed, the form holds why; then the list is
    of no use.
    """
    state = garden.state()
    if form.text("bin") not in state.bins_in_use:
        form.wrong("bin", NotUnderstood("No bin is chosen", instead="Choose the bin of this sheet"))
        return ()
    rows = [row for number in range(ROWS) if (row := _row(form, garden, number)) is not None]
    if not rows and not form.problems:
        form.wrong(
            WHOLE_FORM,
            NotUnderstood(
                "No row is filled in yet", instead="Copy a date and a temperature", kept=""
            ),
        )
    _ask(form, garden, rows)
    return tuple(rows)


def entries_of(form: Filled, garden: Garden, rows: tuple[Row, ...]) -> list[Entry]:
    """Return the entries of the rows; the same row of the same form always has the same ids."""
    made = {}
    for row in rows:
        for told, at in zip(row.told, moments(row.at, len(row.told)), strict=True):
            entry_id = _id(form, row, told)
            made[entry_id] = made_entry(garden, told, entry_id, at)
    return list(made.values())


def _id(form: Filled, row: Row, told: Told) -> str:
    # By the row's own words, so that a row added or mended later leaves the others as stored.
    words = "\x1f".join(form.text(name_of(row.number, field)) for field in FIELDS)
    whole = f"{form.made_id}\x1e{form.text('bin')}\x1e{form.text('unit')}\x1e{told.what}\x1e{words}"
    return hashlib.sha256(whole.encode()).hexdigest()[:32]


def _row(form: Filled, garden: Garden, number: int) -> Row | None:
    if not any(form.text(name_of(number, field)) for field in FIELDS):
        return None
    at = _at(form, garden, number)
    told = tuple(_told(form, garden.state(), number))
    if not told and not any(name.startswith(f"row.{number}.") for name in form.problems):
        form.wrong(
            name_of(number, "temperature"),
            NotUnderstood("This row says only when", instead="Copy what was read or done"),
        )
    return None if at is None else Row(number, at, told)


def _at(form: Filled, garden: Garden, number: int) -> datetime | None:
    name = name_of(number, "date")
    day, clock = form.text(name), form.text(name_of(number, "time"))
    if not day:
        form.wrong(name, NotUnderstood("The date is missing", instead="Copy it from the sheet"))
        return None
    whole = f"{day}T{clock}" if clock else day
    now, zone = garden.now(), zone_of(garden)
    return form.read_text(name, "Date", whole, lambda text: read_moment(text, zone, now))


def _told(form: Filled, state: GardenState, number: int) -> Iterator[Told]:
    found = [*_reading(form, state, number), *_look(form, state, number)]
    found += _done(form, state, number)
    for one in found:
        try:
            checked_body(one.kind, one.body)
        except HeapwrightError as problem:
            form.wrong(name_of(number, one.what), problem)
    yield from found


def _reading(form: Filled, state: GardenState, number: int) -> Iterator[Told]:
    unit, system = temperature_unit(form, state), UnitSystem(state.settings.units)
    celsius = form.read(
        name_of(number, "temperature"), "Temperature", lambda text: parse_temperature_c(text, unit)
    )
    depth_m = form.read(
        name_of(number, "depth"), "Depth", lambda text: parse_length_m(text, system, what="Depth")
    )
    if celsius is None:
        return
    body: dict[str, Any] = {"bin": form.text("bin"), "temperature_c": celsius}
    yield Told(
        "temperature", EntryKind.READING, body | ({} if depth_m is None else {"depth_m": depth_m})
    )


def _look(form: Filled, state: GardenState, number: int) -> Iterator[Told]:
    seen: dict[str, Any] = {
        "squeeze": form.one_of(name_of(number, "squeeze"), "Squeeze", SQUEEZES),
        "smell": form.one_of(name_of(number, "smell"), "Smell", SMELLS),
        "note": form.note(name_of(number, "note")),
    }
    body = {name: value for name, value in seen.items() if value}
    if body:
        yield Told("note", EntryKind.LOOK, {"bin": form.text("bin"), **body})


def _done(form: Filled, state: GardenState, number: int) -> Iterator[Told]:
    water_kg = read_water(form, state.settings, name_of(number, "water"))
    water = {"water_kg": water_kg} if water_kg else {}
    if form.has(name_of(number, "turned"), "stir"):
        yield Told("turned", EntryKind.TURN, {"bin": form.text("bin"), "how": "stir", **water})
    elif water:
        yield Told("water", EntryKind.WET, {"bin": form.text("bin"), **water})


# ---- what is asked again ----


def question(form: Filled, number: int) -> bool:
    """Whether a row was found improbable and may be confirmed."""
    return isinstance(form.problem(name_of(number, "temperature")), _Improbable)


class _Improbable(NotUnderstood):
    """A reading that can be but is hardly so: the person has the last word."""


def _ask(form: Filled, garden: Garden, rows: list[Row]) -> None:
    """Hold a question beside each improbable temperature that is not confirmed yet."""
    unit = temperature_unit(form, garden.state())
    before = _core_readings(garden, form.text("bin"))
    for row in sorted(rows, key=lambda one: one.at):
        name = name_of(row.number, "temperature")
        text = form.text(name)
        if not text or form.problem(name) is not None:
            continue
        earlier = [one for one in before if one.at <= row.at]
        asked = doubt(text, unit, max(earlier, key=lambda one: one.at, default=None), row.at)
        if asked is not None and not form.has(name_of(row.number, "sure"), "yes"):
            form.wrong(name, _as_problem(asked))
        read = next(one.body for one in row.told if one.what == "temperature")
        before.append(Last(row.at, float(read["temperature_c"])))


def _as_problem(asked: Doubt) -> NotUnderstood:
    why = asked.why
    if asked.meant is not None:
        why = worded("{why} Was it {meant}?", why=why, meant=asked.meant.words)
    end = "If the paper says so, tick that it is right"
    return _Improbable(asked.question, why=why, instead=end)


def _core_readings(garden: Garden, bin_key: str) -> list[Last]:
    return [
        Last(entry.at, float(entry.body["temperature_c"]))
        for entry in garden.readings_of_bin(bin_key)
        if is_core_reading(entry)
    ]
