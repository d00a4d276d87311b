"""Writes down the result of a finish test, or that a heap was screened, from people's words.

Knows how each number is said and which entry it makes. Knows nothing of forms or commands, nor of
what a result means (`heapwright.finish`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any

from heapwright.errors import NotUnderstood, OutOfRange
from heapwright.finish.types import Procedure
from heapwright.journal.entries import EntryKind, new_entry_id
from heapwright.journal.finish_forms import FIELDS, TEST_FORM
from heapwright.quantities import (
    UnitSystem,
    parse_amount,
    parse_length_m,
    parse_number,
    parse_share,
    parse_temperature_c,
)
from heapwright.wording import worded
from heapwright.workshop.answers import LogAnswer
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log
from heapwright.workshop.stock import own_containers

Reader = Callable[[str], Any]
_LENGTHS = ("root_m", "control_root_m")
_TEMPERATURES = ("highest_c", "air_c")
_FLAGS = ("dark", "crumbly", "food_seen")
_YES, _NO = ("yes", "y", "true"), ("no", "n", "false")


def fields_of(procedure: Procedure) -> tuple[str, ...]:
    """Return the names of the fields a test's result may have, those it needs first."""
    needed, also = FIELDS[procedure]
    return (*needed, *also)


def label_of(name: str) -> str:
    """Return what a field of a result is called."""
    return TEST_FORM[name].label


def reader_of(name: str, system: UnitSystem) -> Reader:
    """Return what reads a field of a result from a person's words.

    Parameters
    ----------
    name : str
        A field of the entry kind `test`.
    system : UnitSystem
        Meant where no unit is written.

    """
    label = label_of(name)
    if name in _LENGTHS:
        return lambda text: parse_length_m(text, system, what=label)
    if name in _TEMPERATURES:
        return lambda text: parse_temperature_c(text, system.temperature_unit, what=label)
    if name in _FLAGS:
        return lambda text: _yes_or_no(text, label)
    if name == "left_share":
        return lambda text: parse_share(text, what=label, why="it is a share of the first volume")
    if name == "smell":
        return lambda text: text.strip().lower()
    if name == "days":
        return lambda text: parse_number(text, what=label)
    return lambda text: _count(text, label)


def _yes_or_no(text: str, label: str) -> bool:
    plain = text.strip().lower()
    if plain in _YES:
        return True
    if plain in _NO:
        return False
    raise NotUnderstood(worded('{label} "{text}"', label=label, text=text), instead="Say yes or no")


def _count(text: str, label: str) -> int:
    value = parse_number(text, what=label)
    if value != int(value):
        raise OutOfRange(
            worded("{label} {value:g}", label=label, value=value),
            why="only whole ones are counted",
            instead="Round it",
        )
    return int(value)


def record_test(
    garden: Garden,
    bin_key: str,
    procedure: Procedure,
    numbers: Mapping[str, Any],
    *,
    origin: str,
    at: datetime | None = None,
    entry_id: str | None = None,
) -> LogAnswer:
    """Store the result of a test; `at` is when it was seen.

    Parameters
    ----------
    garden : Garden
    bin_key : str
    procedure : Procedure
        Any but reheating, which is read from turns and readings.
    numbers : mapping
        By field, SI units; a `note` may be among them.
    origin : str
        Where it was written, see `Entry.origin`.

    Raises
    ------
    HeapwrightError
        If the bin is unknown or empty, or a number cannot be.

    """
    body = {"bin": garden.bin(bin_key).key, "procedure": str(procedure), **numbers}
    return log(garden, EntryKind.TEST, body, at=at, entry_id=entry_id, origin=origin)


def record_screening(
    garden: Garden,
    bin_key: str,
    *,
    through: str,
    leftovers: str,
    mesh: str,
    origin: str,
    at: datetime | None = None,
    entry_id: str | None = None,
) -> LogAnswer:
    """Store that a heap was screened; what was kept back becomes a lot for the next heap.

    Parameters
    ----------
    garden : Garden
    bin_key : str
    through, leftovers, mesh : str
        In people's words, "" when not told: "3 pails", "1 pail", "1/2 in".
    origin : str
        Where it was written, see `Entry.origin`.

    Raises
    ------
    HeapwrightError
        If nothing is told, or something cannot be.

    """
    system = garden.reader().units
    body: dict[str, Any] = {"bin": garden.bin(bin_key).key}
    if through.strip():
        body["through_m3"] = volume_said(garden, through)
    if leftovers.strip():
        body |= leftovers_said(garden, leftovers, entry_id)
    if mesh.strip():
        body["mesh_m"] = parse_length_m(mesh, system, what="Mesh")
    return log(garden, EntryKind.SCREEN, body, at=at, entry_id=entry_id, origin=origin)


def volume_said(garden: Garden, text: str) -> float:
    """Return a volume from "3 pails" or "60 L". [m³]"""
    amount = parse_amount(text, own_containers(garden.state()), garden.reader().units)
    if amount.volume_m3 is None:
        raise NotUnderstood(
            worded('"{text}" is a weight', text=text), instead="Say it by volume, such as 3 pails"
        )
    return amount.volume_m3.typical


def leftovers_said(garden: Garden, text: str, entry_id: str | None) -> dict[str, Any]:
    """Return the fields of what a sieve kept back, which is counted in whole containers."""
    amount = parse_amount(text, own_containers(garden.state()), garden.reader().units)
    if amount.container is None:
        raise NotUnderstood(
            worded('"{text}" is a measure', text=text),
            why="what is on hand is counted in whole containers",
            instead="Say what it is in, such as 1 pail",
        )
    if amount.count != int(amount.count):
        raise OutOfRange(
            f"{amount.count:g} {amount.container.plural}",
            why="what is on hand is counted in whole containers",
            instead="Round it up",
        )
    return {
        # From the entry's id, so that the same entry sent twice is the same lot.
        "lot": f"screenings-{(entry_id or new_entry_id())[:6]}",
        "container_name": amount.container.name,
        "container_volume_m3": amount.container.volume_m3,
        "count": int(amount.count),
    }
