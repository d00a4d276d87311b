"""Knows of every probe where it was when, and what is stored of it, without reading all anew.

Follows the journal entry by entry, so that a report costs the same in the first week and after
months. Nothing in it is truth: it can be made anew from the journal.
"""

from __future__ import annotations

import threading
from bisect import bisect_left, insort
from collections import defaultdict
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from heapwright.journal.entries import Entry, ProbeState
from heapwright.journal.fold import fold
from heapwright.journal.fold_probes import is_from_probe
from heapwright.probes.types import Report
from heapwright.workshop.garden import Garden

_Said = tuple[float, float | None]


@dataclass(slots=True)
class _Shelf:
    """What is stored of one probe: ids, and the times of each value and depth that was said."""

    ids: set[str] = field(default_factory=set)
    times: dict[_Said, list[datetime]] = field(default_factory=lambda: defaultdict(list))


@dataclass(frozen=True, slots=True)
class StoredOf:
    """What is stored of one probe, as `probes.identity` asks; and what is about to be.

    Attributes
    ----------
    shelf : _Shelf
        What the journal holds; only read here.
    probe_depth_m : float
        What stands in the journal when a report gives no depth. [m]
    added : _Shelf

    """

    shelf: _Shelf
    probe_depth_m: float
    added: _Shelf = field(default_factory=_Shelf)

    def has(self, entry_id: str) -> bool:
        """Return whether a reading with this id is stored."""
        return entry_id in self.shelf.ids or entry_id in self.added.ids

    def has_near(self, report: Report, at: datetime, within: timedelta) -> bool:
        """Return whether one of the same value and depth is stored, so near in time."""
        depth = self.probe_depth_m if report.depth_m is None else report.depth_m
        said = _said(report.temperature_c, depth)
        return any(
            _is_near(one.times.get(said, []), at, within) for one in (self.shelf, self.added)
        )

    def add(self, entry: Entry) -> None:
        """Take in a reading that is about to be stored."""
        _put(self.added, entry)


class ProbeBook:
    """The probes of one garden, up to date whenever it is asked."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._last = 0
        self._others: list[Entry] = []  # all that no probe wrote: where the probes were
        self._probes: dict[str, ProbeState] = {}
        self._shelves: dict[str, _Shelf] = defaultdict(_Shelf)

    def probes(self, garden: Garden) -> dict[str, ProbeState]:
        """Return the probes as they stand."""
        with self._lock:
            self._follow(garden)
            return self._probes

    def stored_of(self, garden: Garden, probe: ProbeState) -> StoredOf:
        """Return what is stored of a probe; only one message of a garden may look at a time."""
        with self._lock:
            self._follow(garden)
            return StoredOf(self._shelves[probe.key], probe.depth_m)

    def _follow(self, garden: Garden) -> None:
        self._last, new = garden.entries_after(self._last)
        others = [entry for entry in new if not is_from_probe(entry)]
        for entry in new:
            if is_from_probe(entry):
                _put(self._shelves[str(entry.body.get("probe", ""))], entry)
        if others:
            self._others += others
            self._probes = dict(fold(self._others).probes)


def probe_book(garden: Garden) -> ProbeBook:
    """Return the garden's book of probes."""
    return garden.remembered(("probe book",), ProbeBook)


def _put(shelf: _Shelf, entry: Entry) -> None:
    if entry.id not in shelf.ids:
        shelf.ids.add(entry.id)
        said = _said(float(entry.body["temperature_c"]), entry.body.get("depth_m"))
        insort(shelf.times[said], entry.at)


def _is_near(times: list[datetime], at: datetime, within: timedelta) -> bool:
    place = bisect_left(times, at - within)
    return place < len(times) and times[place] <= at + within


def _said(temperature_c: float, depth_m: float | None) -> _Said:
    return round(temperature_c, 4), None if depth_m is None else round(depth_m, 4)
