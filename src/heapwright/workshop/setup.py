"""Sets the garden up: its settings, its bins, its own containers.

Knows which entries tell of a setting. Knows nothing of forms.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from typing import Any

from heapwright.errors import NotUnderstood, OutOfRange
from heapwright.journal.entries import BinState, EntryKind
from heapwright.journal.undo import order
from heapwright.weather_sources.climate import Climate, climates
from heapwright.wording import worded
from heapwright.workshop.answers import LogAnswer
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import counting, log

LONGEST_KEY = 40


def settings(
    garden: Garden, *, origin: str, entry_id: str | None = None, **changes: Any
) -> LogAnswer:
    """Change settings of the garden; only those named.

    Parameters
    ----------
    garden : Garden
    origin : str
        Where it was written, see `Entry.origin`.
    entry_id : str, optional
        As for `workshop.log.log`.
    changes
        Fields of `GardenSettings`, SI units.

    Raises
    ------
    HeapwrightError
        If a setting is unknown or cannot be right.

    """
    if "climate" in changes:
        _known_climate(changes["climate"])
    return log(garden, EntryKind.GARDEN, changes, entry_id=entry_id, origin=origin)


def save_bin(
    garden: Garden,
    *,
    name: str,
    width_m: float,
    depth_m: float,
    height_m: float,
    origin: str,
    wall: str = "pallets",
    cover: str = "brown cap",
    ground: str = "coarse base",
    shade: float = 0.0,
    order: int | None = None,
    key: str | None = None,
    entry_id: str | None = None,
) -> LogAnswer:
    """Make a bin, or alter the one with this key; one out of use is in use again.

    Parameters
    ----------
    garden : Garden
    name, width_m, depth_m, height_m, wall, cover, ground, shade
        As in `BinState`.
    origin : str
        Where it was written, see `Entry.origin`.
    order : int, optional
        Its place in the row; behind the others if not given.
    key : str, optional
        Of the bin to alter; made from the name for a new one.
    entry_id : str, optional
        As for `workshop.log.log`.

    Raises
    ------
    HeapwrightError
        If a size cannot be right, or wall, cover or ground is not known.

    """
    bins = garden.state().bins
    body = {
        "key": key or free_key(name, bins),
        "name": name,
        "width_m": width_m,
        "depth_m": depth_m,
        "height_m": height_m,
        "wall": wall,
        "cover": cover,
        "ground": ground,
        "shade": shade,
        "order": len(bins) if order is None else order,
    }
    return log(garden, EntryKind.BIN, body, entry_id=entry_id, origin=origin)


def put_bin_out_of_use(
    garden: Garden, bin_key: str, *, origin: str, why: str = "", entry_id: str | None = None
) -> LogAnswer:
    """Put an empty bin out of use; the journal keeps it and what stood in it.

    Saving it again by its key, or taking the entry back, brings it into use.

    Parameters
    ----------
    garden : Garden
    bin_key : str
    origin : str
        Where it was written, see `Entry.origin`.
    why : str
        In the person's words.
    entry_id : str, optional
        As for `workshop.log.log`.

    Raises
    ------
    NotFound, OutOfRange
        If there is no such bin in use, or a heap stands in it.

    """
    one = garden.bin(bin_key)
    standing = garden.batch_in(bin_key)
    if standing is not None:
        raise OutOfRange(
            worded("{name} cannot be put out of use", name=one.name),
            why=worded("{name} stands in it", name=standing.name),
            instead="Log first that the heap was moved to another bin, or that all of its "
            "compost was taken out",
        )
    body = {"bin": bin_key} | ({"why": why} if why else {})
    return log(garden, EntryKind.BIN_GONE, body, entry_id=entry_id, origin=origin)


def bins_out_of_use(garden: Garden) -> tuple[tuple[BinState, str], ...]:
    """Return the bins out of use, each with the id of the entry that put it so."""
    counts = counting(garden)
    ended = {
        str(entry.body["bin"]): entry.id
        for entry in sorted(garden.entries(), key=order)
        if entry.kind is EntryKind.BIN_GONE and entry.id in counts
    }
    bins = garden.state().bins.values()
    return tuple((one, ended[one.key]) for one in bins if not one.in_use)


def save_container(
    garden: Garden, name: str, volume_m3: float, *, origin: str, entry_id: str | None = None
) -> LogAnswer:
    """Name an own container, or give it another volume; `origin` is that of the entry.

    Raises
    ------
    HeapwrightError
        If the volume cannot be right.

    """
    known = garden.state().containers
    key = next((k for k, (own, _) in known.items() if own == name), None) or free_key(name, known)
    body = {"key": key, "name": name, "volume_m3": volume_m3}
    return log(garden, EntryKind.CONTAINER, body, entry_id=entry_id, origin=origin)


def climate_choices() -> list[Climate]:
    """Return the usual years of weather that come with the program."""
    return climates()


def free_key(name: str, taken: Iterable[str]) -> str:
    """Return a short key made from a name that is not taken yet.

    Raises
    ------
    NotUnderstood
        If the name holds no letter and no digit.

    """
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    stem = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:LONGEST_KEY]
    if not stem:
        raise NotUnderstood(
            worded('"{name}" cannot be a name here', name=name),
            why="it holds no letter and no digit",
            instead='Give a name such as "Left bin"',
        )
    used = set(taken)
    number = 1
    key = stem
    while key in used:
        number += 1
        key = f"{stem}-{number}"
    return key


def _known_climate(key: Any) -> None:
    known = {climate.key: climate.title for climate in climates()}
    if key and key not in known:
        choices = "; ".join(f"{k} ({title})" for k, title in known.items())
        raise NotUnderstood(
            worded('No climate is called "{key}"', key=key),
            instead=worded("The climates that come along are: {choices}", choices=choices),
        )
