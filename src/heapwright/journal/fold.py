"""Folds the journal's entries to the garden as it stands: bins, lots, batches, problems.

Knows what each kind of entry does to the garden; of lots, `fold_lots` knows. Knows nothing of
storage, weather or heat; it reads no clock. The same set of entries gives the same state in
whatever order they arrived.

Settings, containers, bins and the first statement of a lot hold from the beginning, so that a
heap may be logged that was built before its bin was entered; a bin is out of use from the time it
was put so. What cannot be (a reading in an empty bin, a heap built where another stands) is left
out and told in `problems`; it stays in the journal and counts again as soon as the entry that was
missing arrives.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, tzinfo
from zoneinfo import ZoneInfo

from heapwright.journal.entries import (
    BatchState,
    BinState,
    Entry,
    EntryKind,
    GardenSettings,
    GardenState,
)
from heapwright.journal.fold_lots import Lots
from heapwright.journal.fold_probes import Probes, is_from_probe
from heapwright.journal.fold_year import Year
from heapwright.journal.stating import stated_bin
from heapwright.journal.undo import settle
from heapwright.wording import worded

HOT, CURING, USED = "hot", "curing", "used"


def fold(entries: Iterable[Entry]) -> GardenState:
    """Return the garden as the entries tell it.

    Parameters
    ----------
    entries : iterable of Entry
        Checked entries (`bodies.checked_entry`) in any order, undo and correct among them.

    Returns
    -------
    GardenState
        Every lot named in a batch's entries is in `lots`, every batch's bin is in `bins`.

    """
    told = settle(entries)
    garden = _Garden()
    for entry in told.entries:
        garden.declare(entry)
    for entry in told.entries:
        garden.happen(entry)
    return garden.state(told.problems)


@dataclass(slots=True)
class _Batch:
    """A batch while it is being folded."""

    key: str
    name: str
    bin_key: str | None
    built: Entry
    stage: str = HOT
    entries: list[Entry] = field(default_factory=list)

    def state(self) -> BatchState:
        return BatchState(
            self.key, self.name, self.bin_key, self.stage, self.built.at, tuple(self.entries)
        )


class _Garden:
    """The garden while it is being folded; one method for what each kind of entry does."""

    def __init__(self) -> None:
        self.settings = GardenSettings()
        self.containers: dict[str, tuple[str, float]] = {}
        self.bins: dict[str, BinState] = {}
        self.lots = Lots(self._problem)
        self.probes = Probes(self._problem)
        self.year = Year(self._problem)
        self.batches: dict[str, _Batch] = {}
        self.standing: dict[str, _Batch] = {}  # by bin
        self.out_of_use: set[str] = set()
        self.notes: list[Entry] = []
        self.problems: list[str] = []
        self.zone: tzinfo = UTC
        self._declares: Mapping[EntryKind, Callable[[Entry], None]] = {
            EntryKind.GARDEN: self._set,
            EntryKind.CONTAINER: self._name_container,
            EntryKind.BIN: self._make_bin,
            EntryKind.LOT: self.lots.first_state,
            EntryKind.PROBE: self.probes.place,
            EntryKind.BED: self.year.bed,
        }
        self._does: Mapping[EntryKind, Callable[[Entry], None]] = {
            EntryKind.BIN: self._use_bin_again,
            EntryKind.BIN_GONE: self._put_bin_out_of_use,
            EntryKind.PROBE: lambda entry: self.probes.use(entry, self.bins),
            EntryKind.PROBE_GONE: self.probes.withdraw,
            EntryKind.LOT: self.lots.restate,
            EntryKind.LOT_GONE: self.lots.throw_away,
            EntryKind.BUILD: self._build,
            EntryKind.READING: self._see,
            EntryKind.LOOK: self._see,
            EntryKind.TURN: self._turn,
            EntryKind.WET: self._see,
            EntryKind.ADD: self._add,
            EntryKind.COVER: self._cover,
            EntryKind.CURE: self._cure,
            EntryKind.TEST: self._see,
            EntryKind.PHOTO: self._see,
            EntryKind.SCREEN: self._screen,
            EntryKind.USE: self._use,
            EntryKind.NOTE: self.notes.append,
            EntryKind.SITE: self.year.describe,
            EntryKind.WISHES: self.year.wish,
            EntryKind.BED_GONE: self.year.bed_gone,
            EntryKind.ARRIVAL: self.year.arrival,
            EntryKind.ARRIVAL_GONE: self.year.arrival_gone,
            EntryKind.AWAY: self.year.away,
            EntryKind.AWAY_GONE: self.year.away_gone,
            EntryKind.SPREAD: self.year.spread,
            EntryKind.BED: self.year.bed,
        }

    def declare(self, entry: Entry) -> None:
        """Take in what is there from the beginning."""
        if entry.kind in self._declares:
            self._declares[entry.kind](entry)

    def happen(self, entry: Entry) -> None:
        """Take in what was done or seen at its time."""
        if entry.kind in self._does:
            self._does[entry.kind](entry)

    def state(self, problems: tuple[str, ...]) -> GardenState:
        """Return what has been folded, frozen."""
        row = sorted(self.bins.values(), key=lambda one: (one.order, one.key))
        here = {bin_key: batch.key for bin_key, batch in self.standing.items()}
        return GardenState(
            settings=self.settings,
            containers=self.containers,
            bins={
                one.key: replace(
                    one, batch_key=here.get(one.key), in_use=one.key not in self.out_of_use
                )
                for one in row
            },
            lots=self.lots.now,
            batches={key: batch.state() for key, batch in self.batches.items()},
            notes=tuple(self.notes),
            problems=problems + tuple(self.problems),
            probes=self.probes.state(),
            year=self.year.state(),
        )

    # What is there.

    def _set(self, entry: Entry) -> None:
        self.settings = replace(self.settings, **entry.body)
        self.zone = ZoneInfo(self.settings.time_zone)

    def _name_container(self, entry: Entry) -> None:
        self.containers[entry.body["key"]] = (entry.body["name"], entry.body["volume_m3"])

    def _make_bin(self, entry: Entry) -> None:
        key = entry.body["key"]
        self.bins[key] = stated_bin(entry.body, self.bins.get(key))

    # What was done and seen.

    def _use_bin_again(self, entry: Entry) -> None:
        self.out_of_use.discard(entry.body["key"])

    def _put_bin_out_of_use(self, entry: Entry) -> None:
        key = entry.body["bin"]
        standing = self.standing.get(key)
        if key not in self.bins:
            self._problem(entry, worded("no bin {key} is known", key=key))
        elif standing is not None:
            said = worded(
                "{name} was put out of use while {standing_name} stood in it",
                name=self.bins[key].name,
                standing_name=standing.name,
            )
            self._problem(entry, said, "It stays. Log that the heap was moved or used up first.")
        else:
            self.out_of_use.add(key)

    def _build(self, entry: Entry) -> None:
        batch_key, bin_key = entry.body["batch"], entry.body["bin"]
        standing = self.standing.get(bin_key)
        if bin_key not in self.bins:
            self._problem(
                entry,
                worded("a heap was built in bin {bin_key}, which is not known", bin_key=bin_key),
            )
        elif bin_key in self.out_of_use:
            said = worded(
                "a heap was built in {name}, which was put out of use", name=self.bins[bin_key].name
            )
            self._problem(entry, said, "Save that bin again first.")
        elif standing is not None:
            said = worded(
                "a heap was built in {name}, where {standing_name} stands",
                name=self.bins[bin_key].name,
                standing_name=standing.name,
            )
            self._problem(entry, said, "Log that it was moved or used up first.")
        elif batch_key in self.batches:
            self._problem(entry, worded("two heaps carry the key {batch_key}", batch_key=batch_key))
        elif (built := self.lots.taken_for(entry)) is not None:
            batch = _Batch(batch_key, entry.body["name"], bin_key, built, entries=[built])
            self.batches[batch_key] = self.standing[bin_key] = batch
            if "cover" in entry.body:
                self._lay_cover(bin_key, entry.body["cover"])

    def _see(self, entry: Entry) -> None:
        batch = self._batch_of(entry)
        if batch is not None:
            batch.entries.append(entry)

    def _add(self, entry: Entry) -> None:
        batch = self._batch_of(entry)
        added = self.lots.taken_for(entry) if batch is not None else None
        if batch is not None and added is not None:
            batch.entries.append(added)
            batch.stage = HOT

    def _turn(self, entry: Entry) -> None:
        batch = self._batch_of(entry)
        if batch is None:
            return
        if entry.body["how"] == "move":
            self._move(entry, batch)
        else:
            batch.entries.append(entry)

    def _move(self, entry: Entry, batch: _Batch) -> None:
        to_bin = entry.body["to_bin"]
        standing = self.standing.get(to_bin)
        if to_bin not in self.bins:
            self._problem(
                entry,
                worded(
                    "{name} was moved to bin {to_bin}, which is not known",
                    name=batch.name,
                    to_bin=to_bin,
                ),
            )
        elif to_bin in self.out_of_use:
            there = self.bins[to_bin].name
            said = worded(
                "{name} was moved to {there}, which was put out of use",
                name=batch.name,
                there=there,
            )
            self._problem(entry, said, "Save that bin again first.")
        elif standing is not None and not entry.body.get("onto"):
            there = self.bins[to_bin].name
            said = worded(
                "{name} was moved to {there}, where {standing_name} stands",
                name=batch.name,
                there=there,
                standing_name=standing.name,
            )
            self._problem(entry, said, "Say that it went onto that heap, or move that one first.")
        else:
            batch.entries.append(entry)
            self._clear(batch)
            if standing is None:
                batch.bin_key = to_bin
                self.standing[to_bin] = batch
            else:
                # From here on there is one heap, and it goes by the name of the one that stood.
                standing.entries.append(entry)
                batch.stage = USED

    def _cover(self, entry: Entry) -> None:
        bin_key = entry.body["bin"]
        if bin_key not in self.bins:
            self._problem(entry, worded("no bin {bin_key} is known", bin_key=bin_key))
            return
        self._lay_cover(bin_key, entry.body["cover"])
        batch = self.standing.get(bin_key)
        if batch is not None:
            batch.entries.append(entry)

    def _cure(self, entry: Entry) -> None:
        batch = self._batch_of(entry)
        if batch is not None:
            batch.entries.append(entry)
            batch.stage = CURING

    def _screen(self, entry: Entry) -> None:
        batch = self._batch_of(entry)
        if batch is not None:
            batch.entries.append(entry)
            if "lot" in entry.body:
                self.lots.screened_out(entry)

    def _use(self, entry: Entry) -> None:
        batch = self._batch_of(entry)
        if batch is not None:
            batch.entries.append(entry)
            self.year.used(entry, batch.key)
            if entry.body.get("all"):
                self._clear(batch)
                batch.stage = USED

    # Looking up and telling.

    def _clear(self, batch: _Batch) -> None:
        """Take a batch out of its bin: it is used up, or part of another heap."""
        if batch.bin_key is not None:
            del self.standing[batch.bin_key]
        batch.bin_key = None

    def _batch_of(self, entry: Entry) -> _Batch | None:
        bin_key = entry.body["bin"]
        batch = self.standing.get(bin_key)
        if bin_key not in self.bins:
            self._problem(entry, worded("no bin {bin_key} is known", bin_key=bin_key))
        elif batch is None and not is_from_probe(entry):
            self._problem(entry, worded("nothing stood in {name}", name=self.bins[bin_key].name))
        return batch

    def _lay_cover(self, bin_key: str, cover: str) -> None:
        self.bins[bin_key] = replace(self.bins[bin_key], cover=cover)

    def _problem(self, entry: Entry, said: str, instead: str = "The entry was left out.") -> None:
        when = entry.at.astimezone(self.zone)
        kind = entry.kind.replace("_", " ")
        text = f"{when:%Y-%m-%d %H:%M}, {kind}: {said}. {instead}"
        self.problems.append(text)
