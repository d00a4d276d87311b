"""Applies undo and correct: which entries still count, and what they say now.

Knows how entries speak of one another. Knows nothing of bins, lots or heaps.

An undo takes its entry back whenever either was written; an undo of an undo brings it back. Of
several corrections the one written last counts, and a correction of a correction is one more
correction of the first entry. What points at nothing, or in a ring, is told as a problem.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from heapwright.errors import HeapwrightError
from heapwright.journal.bodies import checked_body
from heapwright.journal.entries import Entry, EntryKind
from heapwright.wording import worded

# Of things said in the same moment, what is there comes before what is done with it, and a bin
# ends after all that.
_RANK = {
    EntryKind.GARDEN: 0,
    EntryKind.CONTAINER: 0,
    EntryKind.BIN: 0,
    EntryKind.LOT: 0,
    EntryKind.PROBE: 0,
    EntryKind.BED: 0,
    EntryKind.ARRIVAL: 0,
    EntryKind.AWAY: 0,
    EntryKind.BUILD: 1,
    EntryKind.BIN_GONE: 3,
    EntryKind.PROBE_GONE: 3,
    EntryKind.BED_GONE: 3,
    EntryKind.ARRIVAL_GONE: 3,
    EntryKind.AWAY_GONE: 3,
}


def order(entry: Entry) -> tuple[datetime, datetime, int, str]:
    """Sort key of the fold: when it happened, when it was written, what it is, its id."""
    return (entry.at, entry.written_at, _RANK.get(entry.kind, 2), entry.id)


@dataclass(frozen=True, slots=True)
class Told:
    """What the journal says after undo and correct, in order; and what made no sense."""

    entries: tuple[Entry, ...]
    problems: tuple[str, ...]


def settle(entries: Iterable[Entry]) -> Told:
    """Return the entries that count, corrected and in order; the result ignores arrival order."""
    by_id, problems = _each_once(entries)
    alive = _alive(by_id, problems)
    corrections = _last_corrections(by_id, alive, problems)
    told = [
        _corrected(entry, corrections[entry.id], problems) if entry.id in corrections else entry
        for entry in by_id.values()
        if entry.id in alive and entry.kind not in (EntryKind.UNDO, EntryKind.CORRECT)
    ]
    return Told(tuple(sorted(told, key=order)), tuple(sorted(problems)))


def standing(entries: Iterable[Entry]) -> frozenset[str]:
    """Return the ids of the entries that no standing undo takes back, corrections among them."""
    by_id, problems = _each_once(entries)
    return frozenset(_alive(by_id, problems))


def _each_once(entries: Iterable[Entry]) -> tuple[dict[str, Entry], list[str]]:
    by_id: dict[str, Entry] = {}
    problems = set()
    for entry in entries:
        other = by_id.setdefault(entry.id, entry)
        if other is entry:
            continue
        by_id[entry.id] = min(other, entry, key=lambda e: (_says(e), e.written_at, e.origin))
        if _says(other) != _says(entry):
            problems.add(
                worded("Two different entries carry the id {id}; one was left out.", id=entry.id)
            )
    return by_id, sorted(problems)


def _says(entry: Entry) -> tuple[str, str, str, str]:
    return (entry.at.isoformat(), entry.kind, repr(sorted(entry.body.items())), entry.author)


def _alive(by_id: Mapping[str, Entry], problems: list[str]) -> set[str]:
    """Ids that no standing undo takes back, worked out from the last link of each chain."""
    target = {e.id: e.body["of"] for e in by_id.values() if e.kind is EntryKind.UNDO}
    undos_left = Counter(target.values())
    taken_back: set[str] = set()
    ready = [undo for undo in target if not undos_left[undo]]
    settled = set()
    while ready:
        undo = ready.pop()
        settled.add(undo)
        of = target[undo]
        if of not in by_id:
            problems.append(_at(by_id[undo]) + "an entry is taken back that is not in the journal.")
        if undo not in taken_back:
            taken_back.add(of)
        undos_left[of] -= 1
        if of in target and not undos_left[of]:
            ready.append(of)
    for ring in target.keys() - settled:
        problems.append(_at(by_id[ring]) + "an undo takes itself back; it does not count.")
    return by_id.keys() - taken_back


def _last_corrections(
    by_id: Mapping[str, Entry], alive: set[str], problems: list[str]
) -> dict[str, dict[str, Any]]:
    """Corrections by the id of the first entry they speak of, later writing over earlier."""
    found: dict[str, dict[str, Any]] = {}
    standing = [e for e in by_id.values() if e.kind is EntryKind.CORRECT and e.id in alive]
    for correction in sorted(standing, key=lambda e: (e.written_at, e.at, e.id)):
        root = _root(correction, by_id)
        if root is None:
            problems.append(_at(correction) + "a correction speaks of no entry in the journal.")
        elif root.kind is EntryKind.UNDO:
            problems.append(_at(correction) + "an undo cannot be corrected; undo it instead.")
        else:
            # The time and the body are corrected each by itself.
            said = {name: said for name, said in correction.body.items() if name != "of"}
            found.setdefault(root.id, {}).update(said)
    return found


def _root(correction: Entry, by_id: Mapping[str, Entry]) -> Entry | None:
    seen = {correction.id}
    entry: Entry | None = correction
    while entry is not None and entry.kind is EntryKind.CORRECT:
        of = entry.body["of"]
        if of in seen:
            return None
        seen.add(of)
        entry = by_id.get(of)
    return entry


def _corrected(entry: Entry, said: Mapping[str, Any], problems: list[str]) -> Entry:
    if "at" in said:
        entry = replace(entry, at=datetime.fromisoformat(said["at"]))
    if "body" not in said:
        return entry
    try:
        return replace(entry, body=checked_body(entry.kind, said["body"]))
    except HeapwrightError as problem:
        problems.append(
            _at(entry) + worded("a correction was left out: {what}.", what=problem.what)
        )
        return entry


def _at(entry: Entry) -> str:
    return worded("{at:%Y-%m-%d %H:%M} UTC: ", at=entry.at)
