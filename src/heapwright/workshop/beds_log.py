"""Enters, alters and drops a bed, and writes down what was spread on it.

Knows which entries tell of a bed. Knows nothing of forms or of how much a bed wants.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from heapwright.errors import NotFound
from heapwright.journal.entries import EntryKind
from heapwright.journal.entries_year import BedState
from heapwright.wording import worded
from heapwright.workshop.answers import LogAnswer
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log
from heapwright.workshop.setup import free_key


def bed_of(garden: Garden, key: str) -> BedState:
    """Return a bed in use by its key.

    Raises
    ------
    NotFound
        If there is none; names those there are.

    """
    there = garden.state().year.beds_in_use
    if key in there:
        return there[key]
    known = ", ".join(f"{one.key} ({one.name})" for one in there.values()) or "none yet"
    raise NotFound(
        worded('No bed is called "{key}"', key=key[:40]),
        instead=worded("The beds are: {known}", known=known),
    )


def save_bed(
    garden: Garden,
    *,
    name: str,
    use: str,
    due: date,
    origin: str,
    area_m2: float | None = None,
    mix_m3: float | None = None,
    every_year: bool = True,
    depth_m: float | None = None,
    weight: int = 2,
    phosphorus: str = "unknown",
    salt_sensitive: bool = False,
    raw_harvest: bool = False,
    key: str | None = None,
    entry_id: str | None = None,
) -> LogAnswer:
    """Enter a bed, or alter the one with this key.

    Parameters
    ----------
    garden : Garden
    name, use, due, area_m2, mix_m3, every_year, depth_m, weight, phosphorus, salt_sensitive
        As in `garden.beds_types.Bed`.
    raw_harvest : bool
        As there.
    origin : str
        Where it was written, see `Entry.origin`.
    key : str, optional
        Of the bed to alter; made from the name for a new one. A bed that was dropped and is
        entered again by its name is the same ground: what was spread there comes with it.
    entry_id : str, optional
        As for `workshop.log.log`.

    Raises
    ------
    HeapwrightError
        If a value cannot be right, or the bed to alter is not there.

    """
    if key is not None:
        bed_of(garden, key)
    body: dict[str, Any] = {
        "key": key or _key_for(garden, name),
        "name": name,
        "use": use,
        "due": due.isoformat(),
        "every_year": every_year,
        "weight": weight,
        "phosphorus": phosphorus,
        "salt_sensitive": salt_sensitive,
        "raw_harvest": raw_harvest,
    }
    sizes = {"area_m2": area_m2, "volume_m3": mix_m3, "depth_m": depth_m}
    body |= {name: value for name, value in sizes.items() if value is not None}
    return log(garden, EntryKind.BED, body, entry_id=entry_id, origin=origin)


def _key_for(garden: Garden, name: str) -> str:
    there = garden.state().year.beds
    dropped = (one.key for one in there.values() if one.name == name and not one.in_use)
    return next(dropped, None) or free_key(name, there)


def drop_bed(
    garden: Garden, key: str, *, origin: str, why: str = "", entry_id: str | None = None
) -> LogAnswer:
    """Take a bed off the list; what was spread on it stays in the journal.

    Raises
    ------
    NotFound
        If there is no such bed.

    """
    body = {"bed": bed_of(garden, key).key} | ({"why": why} if why else {})
    return log(garden, EntryKind.BED_GONE, body, entry_id=entry_id, origin=origin)


def spread_on(
    garden: Garden,
    key: str,
    volume_m3: float,
    what: str,
    *,
    origin: str,
    at: datetime | None = None,
    note: str = "",
    entry_id: str | None = None,
) -> LogAnswer:
    """Write down what was put on a bed that did not come straight out of a bin.

    Parameters
    ----------
    garden : Garden
    key : str
        Of the bed.
    volume_m3 : float
        [m³]
    what : str
        One of `journal.forms_year.SPREADS`; own compost is taken from what was put by.
    origin, entry_id
        As for `workshop.log.log`.
    at : datetime, optional
        When it was; now if not given.
    note : str

    Raises
    ------
    HeapwrightError
        If there is no such bed or a value cannot be right.

    """
    body: dict[str, Any] = {"bed": bed_of(garden, key).key, "volume_m3": volume_m3, "what": what}
    body |= {"note": note} if note else {}
    return log(garden, EntryKind.SPREAD, body, at=at, entry_id=entry_id, origin=origin)
