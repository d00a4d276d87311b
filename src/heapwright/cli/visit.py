"""Turns what was said of one visit to a bin into journal entries, in the order it was done.

Knows which words become which entry. Knows nothing of how they are stored or told.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from heapwright.cli import people
from heapwright.errors import NotUnderstood
from heapwright.journal.entries import Entry, EntryKind
from heapwright.journal.picture import Photo
from heapwright.quantities import UnitSystem, parse_length_m, parse_temperature_c
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import make_entry

#: Entries of one visit stand this far apart, so that they are read in the order they were done.
STEP = timedelta(milliseconds=1)
COVERS = {"brown": "brown cap", "cap": "brown cap", "none": "open", "uncovered": "open"}
Body = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Said:
    """What was typed of one visit, still in the person's words."""

    bin: str
    temperature: str | None = None
    depth: str | None = None
    where: str | None = None
    probe: str | None = None
    squeeze: str | None = None
    smell: str | None = None
    pests: tuple[str, ...] = ()
    looks: tuple[str, ...] = ()
    level: str | None = None
    stirred: bool = False
    moved_to: str | None = None
    onto: bool = False
    water: str | None = None
    added: tuple[str, ...] = ()
    capped: str | None = None
    cure: bool = False
    used: str | None = None
    used_on: str | None = None
    note: str | None = None
    photo: Photo | None = None


@dataclass(frozen=True, slots=True)
class Visit:
    """The entries of a visit, and the bin in which the heap lies after it."""

    entries: tuple[Entry, ...]
    bin_key: str


def entries_of(
    garden: Garden, said: Said, system: UnitSystem, *, at: str | None = None, author: str = ""
) -> Visit:
    """Return the entries of a visit; nothing is stored.

    Parameters
    ----------
    garden : Garden
    said : Said
    system : UnitSystem
        Meant where no unit is written.
    at : str, optional
        When, in the person's words; now if not given.
    author : str

    Raises
    ------
    HeapwrightError
        If nothing was said, or something cannot be understood.

    """
    _check_belongings(said)
    here = people.bin_key(garden, said.bin)
    there = here if said.moved_to is None else people.bin_key(garden, said.moved_to)
    told = [
        *_seen(said, here, system),
        *_turned(garden, said, here, there, system),
        *_afterwards(garden, said, there, system),
    ]
    _with_note(told, said, there)
    if not told:
        raise NotUnderstood(
            "Nothing was said of this visit",
            instead="Give a temperature, or say what you saw or did: `heapwright log --help`",
        )
    last = people.when_at(garden, at) or garden.now()
    first = last - STEP * (len(told) - 1)
    return Visit(
        tuple(
            make_entry(
                garden, kind, body, at=_moment(first, number), author=author, origin="command"
            )
            for number, (kind, body) in enumerate(told)
        ),
        there,
    )


def _moment(first: datetime, number: int) -> datetime:
    return first + STEP * number


def _check_belongings(said: Said) -> None:
    """Refuse words that belong to a thing that was not said."""
    if said.temperature is None and (said.depth or said.where or said.probe):
        raise NotUnderstood(
            "A place or a thermometer without a temperature",
            instead="Give what it read: `heapwright log BIN 137F --depth 18in`",
        )
    if said.stirred and said.moved_to is not None:
        raise NotUnderstood(
            "Stirred where it stands and moved to another bin at once",
            instead="Say --moved-to alone: moving turns it too",
        )
    if said.onto and said.moved_to is None:
        raise NotUnderstood("--onto without --moved-to", instead="Name the bin it was moved to")
    if said.used_on is not None and said.used is None:
        raise NotUnderstood("--used-on without --used", instead="Say how much was taken out")


def _seen(said: Said, here: str, system: UnitSystem) -> Iterator[tuple[EntryKind, Body]]:
    """Yield what was read and seen before anything was done."""
    if said.temperature is not None:
        reading: Body = {
            "bin": here,
            "temperature_c": parse_temperature_c(
                said.temperature, system.temperature_unit, what="Reading"
            ),
        }
        if said.depth is not None:
            reading["depth_m"] = parse_length_m(said.depth, system, what="Depth")
        reading |= _words(where=said.where, probe=said.probe)
        yield EntryKind.READING, reading
    look: Body = _words(squeeze=said.squeeze, smell=said.smell)
    if said.pests:
        look["pests"] = [word.strip().lower() for word in said.pests]
    if said.looks:
        look["looks"] = [word.strip().lower() for word in said.looks]
    if said.level is not None:
        look["level_m"] = parse_length_m(said.level, system, what="Height of the heap")
    if look:
        yield EntryKind.LOOK, {"bin": here, **look}
    if said.photo is not None:
        yield EntryKind.PHOTO, {"bin": here, **said.photo.named}


def _words(**said: str | None) -> Body:
    """Return the words that were said, as the journal writes them."""
    names = ("probe",)  # a name keeps its capitals
    return {
        key: word.strip() if key in names else word.strip().lower()
        for key, word in said.items()
        if word is not None
    }


def _turned(
    garden: Garden, said: Said, here: str, there: str, system: UnitSystem
) -> Iterator[tuple[EntryKind, Body]]:
    """Yield the turn with its water and cover, or the water alone."""
    water = None if said.water is None else people.water_kg(garden, said.water, system)
    turned = said.stirred or said.moved_to is not None
    if turned:
        body: Body = {"bin": here, "how": "stir" if said.moved_to is None else "move"}
        if said.moved_to is not None:
            body["to_bin"] = there
        if said.onto:
            body["onto"] = True
        if water is not None:
            body["water_kg"] = water
        if said.capped is not None:
            body["cover"] = cover(said.capped)
        yield EntryKind.TURN, body
    elif water is not None and not said.added:
        yield EntryKind.WET, {"bin": here, "water_kg": water}
    if said.added:
        lines = people.lot_counts(garden, said.added)
        added: Body = {
            "bin": there,
            "lines": [{"lot": lot, "count": count} for lot, count in lines.items()],
        }
        if water is not None and not turned:
            added["water_kg"] = water
        yield EntryKind.ADD, added


def _afterwards(
    garden: Garden, said: Said, there: str, system: UnitSystem
) -> Iterator[tuple[EntryKind, Body]]:
    """Yield what came after the turn: cover, curing, use."""
    if said.capped is not None and not (said.stirred or said.moved_to is not None):
        yield EntryKind.COVER, {"bin": there, "cover": cover(said.capped)}
    if said.cure:
        yield EntryKind.CURE, {"bin": there}
    if said.used is not None:
        taken = people.taken_out(garden, said.used, system)
        yield EntryKind.USE, {"bin": there, **taken, **_went_to(garden, said.used_on)}


def _went_to(garden: Garden, said: str | None) -> Body:
    """Return where compost went: a bed by its key or name, "store" for put by, or other words."""
    if said is None:
        return {}
    plain = said.strip().casefold()
    if plain == "store":
        return {"store": True}
    for bed in garden.state().year.beds_in_use.values():
        if plain in (bed.key.casefold(), bed.name.casefold()):
            return {"where": bed.name, "bed": bed.key}
    return {"where": said}


def cover(said: str) -> str:
    """Return what lies on top as the journal writes it: "brown" is a brown cap."""
    plain = said.strip().lower()
    return COVERS.get(plain, plain)


def _with_note(told: list[tuple[EntryKind, Body]], said: Said, there: str) -> None:
    """Put the note on the first entry that has room for one; else make it one of its own."""
    if said.note is None:
        return
    for kind, body in told:
        if kind is EntryKind.PHOTO and len(told) == 1:
            body["caption"] = said.note
            return
        if kind not in (EntryKind.COVER, EntryKind.PHOTO):
            body["note"] = said.note
            return
    told.append((EntryKind.NOTE, {"bin": there, "text": said.note}))
