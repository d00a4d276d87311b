"""Chooses which of a batch's entries the model, the lists and the charts are given.

Knows which readings a probe wrote, and thins those of each tip by themselves; what a person read or
did is always kept. The journal and the CSV hold all.
"""

from __future__ import annotations

import threading
from collections import OrderedDict, defaultdict
from collections.abc import Callable, Sequence
from datetime import timedelta

from heapwright.journal.entries import BatchState, Entry, EntryKind
from heapwright.journal.fold_probes import is_from_probe
from heapwright.probes import thin
from heapwright.probes.settings import probe_limits

#: What changes a heap, so that readings before and after it are not of one kind.
_WORK = (EntryKind.BUILD, EntryKind.TURN, EntryKind.WET, EntryKind.ADD, EntryKind.COVER)
_Entries = tuple[Entry, ...]
_Tip = tuple[str, float, str]

# The same entries are asked for many times in one answer: the last few are remembered by identity
# (they are never changed), with the entries themselves so that the identity stays theirs.
_MOST_REMEMBERED = 32
_remembered: OrderedDict[tuple[int, str], tuple[_Entries, _Entries]] = OrderedDict()
_lock = threading.Lock()


def for_model(batch: BatchState) -> _Entries:
    """Return a batch's entries with one reading of a probe for each window of hours."""

    def thinned() -> _Entries:
        worked = [entry.at for entry in batch.entries if entry.kind in _WORK]
        return _with(batch.entries, lambda readings: thin.for_model(readings, worked))

    return _once(batch.entries, "model", thinned)


def for_rules(batch: BatchState) -> _Entries:
    """Return what the model is given, and the newest reading of each tip as it is.

    A rule must see the heat of this hour, be it a slip: a danger is not averaged away.
    """

    def thinned() -> _Entries:
        newest = {_tip(entry): entry for entry in batch.entries if is_from_probe(entry)}
        if not newest:
            return batch.entries
        wanted = {entry.id for entry in (*for_model(batch), *newest.values())}
        return tuple(entry for entry in batch.entries if entry.id in wanted)

    return _once(batch.entries, "rules", thinned)


def for_proof(batch: BatchState) -> _Entries:
    """Return a batch's entries with the coldest reading of a probe for each window of hours."""
    return _once(batch.entries, "proof", lambda: _with(batch.entries, thin.for_proof))


def for_showing(batch: BatchState) -> _Entries:
    """Return a batch's entries without a probe's dull repeats, for the chart."""
    return _once(batch.entries, "shown", lambda: _without_repeats(batch.entries, "shown"))


def left_out(batch: BatchState | None) -> int:
    """Return how many dull repeats of probes the chart leaves out."""
    return 0 if batch is None else len(batch.entries) - len(for_showing(batch))


def for_story(batch: BatchState) -> _Entries:
    """Return a batch's entries with few readings of a probe, for a list read by eye."""
    return _once(batch.entries, "listed", lambda: _without_repeats(batch.entries, "listed"))


def _without_repeats(entries: _Entries, use: str) -> _Entries:
    limits = probe_limits()
    change_c, longest = limits[f"{use}_change_c"], timedelta(hours=limits[f"{use}_hours"])
    return _with(entries, lambda readings: thin.for_showing(readings, change_c, longest))


def _with(entries: _Entries, choose: Callable[[Sequence[thin.Reading]], list[int]]) -> _Entries:
    tips: dict[_Tip, list[int]] = defaultdict(list)
    kept: list[int] = []
    for index, entry in enumerate(entries):
        (tips[_tip(entry)] if is_from_probe(entry) else kept).append(index)
    if not tips:
        return entries
    for places in tips.values():
        readings = [(entries[i].at, float(entries[i].body["temperature_c"])) for i in places]
        kept += [places[chosen] for chosen in choose(readings)]
    return tuple(entries[index] for index in sorted(kept))


def _tip(entry: Entry) -> _Tip:
    body = entry.body
    return str(body.get("probe", "")), float(body.get("depth_m", 0.0)), str(body.get("where", ""))


def _once(entries: _Entries, name: str, make: Callable[[], _Entries]) -> _Entries:
    key = (id(entries), name)
    with _lock:
        known = _remembered.get(key)
        if known is not None and known[0] is entries:
            return known[1]
    made = make()
    with _lock:
        _remembered[key] = (entries, made)
        while len(_remembered) > _MOST_REMEMBERED:
            _remembered.popitem(last=False)
    return made
