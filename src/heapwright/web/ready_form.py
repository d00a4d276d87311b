"""Reads the forms of finish tests and screenings: which fields each has, and what they say.

Knows how a field is shown (choices, count, length, temperature) and read. Knows nothing of pages
or of storing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from heapwright.errors import HeapwrightError, NotUnderstood
from heapwright.finish.judge import SMELLS
from heapwright.finish.types import RECORDED, Procedure
from heapwright.journal.bodies import checked_body
from heapwright.journal.entries import EntryKind
from heapwright.journal.finish_forms import FIELDS
from heapwright.quantities import UnitSystem, parse_length_m
from heapwright.web.forms import WHOLE_FORM, Filled
from heapwright.wording import worded
from heapwright.workshop.finish_log import (
    fields_of,
    label_of,
    leftovers_said,
    reader_of,
    volume_said,
)
from heapwright.workshop.garden import Garden

_YES_NO = (("yes", "Yes"), ("no", "No"))
#: What is told of a field by tapping instead of typing.
CHOICES: Mapping[str, tuple[tuple[str, str], ...]] = {
    "smell": tuple((word, word.capitalize()) for word in SMELLS),
    "dark": _YES_NO,
    "crumbly": _YES_NO,
    "food_seen": _YES_NO,
    "left_share": (
        ("33%", "A third or less"),
        ("50%", "About half"),
        ("75%", "More than half"),
    ),
}
#: A field whose label on the page says more than in the journal.
_LABELS = {
    "food_seen": "Can food still be made out?",
    "dark": "Is it dark?",
    "crumbly": "Is it crumbly?",
    "left_share": "How much of its first volume is left?",
    "days": "How many days it took",
}
_UNITS = {"root_m": "length", "control_root_m": "length", "highest_c": "heat", "air_c": "heat"}


@dataclass(frozen=True, slots=True)
class AskedField:
    """A field as the page asks for it; `choices` empty when it is typed."""

    name: str
    label: str
    is_needed: bool
    choices: tuple[tuple[str, str], ...]
    unit: str


def asked_fields(procedure: Procedure, system: UnitSystem) -> tuple[AskedField, ...]:
    """Return the fields of a test in the order they are asked."""
    needed, _ = FIELDS[procedure]
    small = "in" if system is UnitSystem.US else "mm"
    units = {"length": small, "heat": f"°{system.temperature_unit}"}
    return tuple(
        AskedField(
            name=name,
            label=_LABELS.get(name, label_of(name)),
            is_needed=name in needed,
            choices=CHOICES.get(name, ()),
            unit=units.get(_UNITS.get(name, ""), ""),
        )
        for name in fields_of(procedure)
    )


def read_test(form: Filled, system: UnitSystem) -> tuple[Procedure, dict[str, Any]] | None:
    """Return the test and its numbers; None when something is wrong, which the form then holds."""
    said = form.text("procedure")
    if said not in RECORDED:
        form.wrong(WHOLE_FORM, NotUnderstood(worded('No test is called "{said}"', said=said[:40])))
        return None
    procedure = Procedure(said)
    numbers: dict[str, Any] = {}
    for asked in asked_fields(procedure, system):
        read = reader_of(asked.name, system)
        text = _with_unit(form.text(asked.name), asked)
        if text:
            value = form.read_text(asked.name, asked.label, text, read)
            if value is not None:
                numbers[asked.name] = value
        elif asked.is_needed:
            form.wrong(asked.name, NotUnderstood(worded("{label} is missing", label=asked.label)))
    note = form.note("note")
    if note:
        numbers["note"] = note
    if form.problems:
        return None
    return (procedure, numbers) if _is_sound(form, procedure, numbers) else None


def _with_unit(text: str, asked: AskedField) -> str:
    """Return a bare length with the unit that stands beside its field."""
    bare = text.replace(".", "", 1).replace(",", "", 1).isdigit()
    return f"{text} {asked.unit}" if bare and asked.unit in ("in", "mm") else text


def _is_sound(form: Filled, procedure: Procedure, numbers: Mapping[str, Any]) -> bool:
    try:
        checked_body(EntryKind.TEST, {"bin": "here", "procedure": str(procedure), **numbers})
    except HeapwrightError as problem:
        form.wrong(_field_of(problem, procedure), problem)
        return False
    return True


def _field_of(problem: HeapwrightError, procedure: Procedure) -> str:
    """Return the field whose name the problem begins with, the whole form for none."""
    named = [name for name in fields_of(procedure) if problem.what.startswith(label_of(name))]
    return max(named, key=lambda name: len(label_of(name)), default=WHOLE_FORM)


def read_screening(form: Filled, garden: Garden, entry_id: str) -> dict[str, Any] | None:
    """Return the fields of a screening; None when something is wrong."""
    body: dict[str, Any] = {}
    through = form.read("through", "What went through", lambda text: volume_said(garden, text))
    if through is not None:
        body["through_m3"] = through
    leftovers = form.read(
        "leftovers", "What was kept back", lambda text: leftovers_said(garden, text, entry_id)
    )
    body |= leftovers or {}
    system = garden.reader().units
    mesh = form.read("mesh", "Mesh", lambda text: parse_length_m(text, system, what="Mesh"))
    if mesh is not None:
        body["mesh_m"] = mesh
    if form.problems:
        return None
    try:
        return checked_body(EntryKind.SCREEN, {"bin": "here", **body})
    except HeapwrightError as problem:
        form.wrong(WHOLE_FORM, problem)
        return None
