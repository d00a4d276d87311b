"""Reads the form that corrects an entry: its number, unit, amount, words, bin and time.

Knows which fields an entry of a kind has there. Knows nothing of pages or of storing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, tzinfo
from typing import Any

from heapwright.errors import NotUnderstood
from heapwright.heap.types import Cover
from heapwright.journal import fields
from heapwright.journal.entries import Entry, EntryKind, GardenState
from heapwright.journal.forms import FORMS, PLACES, SMELLS, SQUEEZES
from heapwright.quantities import (
    TemperatureUnit,
    UnitSystem,
    from_si,
    parse_length_m,
    parse_temperature_c,
    temperature_in,
)
from heapwright.web import log_form
from heapwright.web.forms import Filled
from heapwright.web.moments import form_value, read_moment
from heapwright.web.water_form import in_own_unit, read_water
from heapwright.wording import worded

#: Reads a field of the form; None when it is blank or wrong.
_Reader = Callable[[], Any]


@dataclass(frozen=True, slots=True)
class Corrected:
    """What an entry is to say: its whole body, and its time. None where it stays."""

    body: Mapping[str, Any] | None
    at: datetime | None


def shown(entry: Entry, state: GardenState, zone: tzinfo) -> Filled:
    """Return the form filled in with what an entry says now."""
    body = entry.body
    units = UnitSystem(state.settings.units)
    degree = units.temperature_unit
    given = [("at", form_value(entry.at, zone)), ("bin", str(body.get("bin", "")))]
    if "temperature_c" in body:
        value = temperature_in(float(body["temperature_c"]), degree)
        given += [("temperature", f"{round(value, 1):g}"), ("unit", str(degree))]
        given += [("where", str(body.get("where", "core")))]
    if "depth_m" in body:
        length = "in" if units is UnitSystem.US else "cm"
        given.append(("depth", f"{from_si(float(body['depth_m']), length):.4g}"))
    if "water_kg" in body:
        amount, unit = in_own_unit(float(body["water_kg"]), state.settings)
        given += [("water", f"{amount:.3g}"), ("water_unit", unit)]
    given += [(name, str(body.get(name, ""))) for name in ("to_bin", "cover", "squeeze", "smell")]
    given += [(name, str(body.get(name, ""))) for name in ("note", "caption", "text")]
    return Filled(given)


def has(entry: Entry) -> frozenset[str]:
    """Return which fields the form has for an entry."""
    form = FORMS[entry.kind]
    offered = {
        *("bin", "temperature_c", "depth_m", "where", "water_kg", "cover"),
        *("squeeze", "smell", "note", "caption", "text"),
    }
    found = {name for name in form if name in offered}
    if entry.kind in (EntryKind.BUILD, EntryKind.TURN, EntryKind.ADD):
        found.discard("cover")  # laid in the same stroke: corrected as an entry of its own
    if entry.kind is EntryKind.USE:
        found.discard("where")  # there it names a bed, not a place in the heap
    return frozenset(found | ({"to_bin"} if "to_bin" in entry.body else set()))


def read(form: Filled, entry: Entry, state: GardenState, zone: tzinfo, now: datetime) -> Corrected:
    """Return what the form says; what is wrong is held in it."""
    before = shown(entry, state, zone)
    here = has(entry)
    body = dict(entry.body)
    for field, (names, reader) in _readers(form, state).items():
        if field in here and any(form.text(name) != before.text(name) for name in names):
            value = reader()
            body.pop(field, None)
            if value is not None:
                body[field] = value
    at = None
    if form.text("at") != before.text("at"):
        at = form.need(
            "at", "When it was", lambda text: read_moment(text, zone, now), form_value(now, zone)
        )
    return Corrected(body if body != dict(entry.body) else None, at)


def _readers(form: Filled, state: GardenState) -> Mapping[str, tuple[tuple[str, ...], _Reader]]:
    """Return for each field of a body the form's fields it is in, and what reads them."""
    system = UnitSystem(state.settings.units)
    degree = log_form.temperature_unit(form, state)
    example = "it, or undo the entry instead"

    def one_of(name: str, words: Iterable[str]) -> tuple[tuple[str, ...], _Reader]:
        return (name,), lambda: form.one_of(name, name.capitalize(), words)

    def words(name: str) -> tuple[tuple[str, ...], _Reader]:
        return (name,), lambda: form.note(name, name.capitalize())

    def bin_of(name: str) -> tuple[tuple[str, ...], _Reader]:
        return (name,), lambda: form.need(name, "Bin", _bin_of(state), example)

    return {
        "temperature_c": (
            ("temperature", "unit"),
            lambda: form.need("temperature", "Temperature", _degrees(degree), example),
        ),
        "depth_m": (
            ("depth",),
            lambda: form.read("depth", "Depth", lambda text: parse_length_m(text, system)),
        ),
        "water_kg": (("water", "water_unit"), lambda: read_water(form, state.settings)),
        "where": one_of("where", PLACES),
        "squeeze": one_of("squeeze", SQUEEZES),
        "smell": one_of("smell", SMELLS),
        "cover": one_of("cover", Cover),
        "bin": bin_of("bin"),
        "to_bin": bin_of("to_bin"),
        "note": words("note"),
        "caption": words("caption"),
        "text": words("text"),
    }


def _degrees(unit: TemperatureUnit) -> Callable[[str], float]:
    def read_it(text: str) -> float:
        celsius = parse_temperature_c(text, unit)
        return float(fields.number("temperature_c")("Temperature", celsius))

    return read_it


def _bin_of(state: GardenState) -> Callable[[str], str]:
    def read_it(text: str) -> str:
        if text not in state.bins:
            raise NotUnderstood(
                worded('No bin is called "{text}"', text=text[:40]),
                instead="Choose one of the bins",
            )
        return text

    return read_it
