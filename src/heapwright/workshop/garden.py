"""One garden opened for work: its journal, its clock, its weather, the state folded from it.

Knows how the parts are brought together once per visit. Knows no answer: the other modules of the
workshop take a `Garden` and answer one question each.
"""

from __future__ import annotations

import copy
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Self, TypeVar, cast

from heapwright.errors import NotFound, OutOfRange
from heapwright.journal.bodies import checked_entry
from heapwright.journal.entries import (
    BatchState,
    BinState,
    Entry,
    EntryKind,
    GardenState,
    LotState,
)
from heapwright.journal.fold import fold
from heapwright.journal.photo_store import PhotoStore
from heapwright.journal.picture import Photo
from heapwright.journal.store import AppendResult, Journal
from heapwright.quantities import UnitSystem
from heapwright.sentences import Reader
from heapwright.wording import language, worded
from heapwright.workshop.pen import Pen

T = TypeVar("T")
Clock = Callable[[], datetime]
#: Dear answers kept per garden: a model run per bin and hour, and the climate.
MOST_REMEMBERED = 64


def utc_now() -> datetime:
    """Return the present moment in UTC."""
    return datetime.now(UTC)


@dataclass(frozen=True, slots=True)
class _Snapshot:
    """The journal's entries with the state folded from them."""

    mark: int
    entries: tuple[Entry, ...]
    state: GardenState


@dataclass(slots=True)
class _Latest:
    """Where the last snapshot stands, for the garden and everybody's view of it alike."""

    snapshot: _Snapshot | None = None


class Garden:
    """A garden opened for work.

    Attributes
    ----------
    path : Path
        The journal file.
    weather_folder : Path
        Where the person's own weather and the last online forecast are kept.

    """

    def __init__(self, path: Path, journal: Journal, clock: Clock) -> None:
        self.path = path
        self.weather_folder = path.with_suffix(".weather")
        self._journal = journal
        self._clock = clock
        self._latest = _Latest()
        self._pen: Pen | None = None
        self._lock = threading.Lock()
        self._memory: dict[tuple[object, ...], object] = {}
        self._making: dict[tuple[object, ...], threading.Lock] = {}

    @classmethod
    def open(cls, path: Path | str, clock: Clock = utc_now) -> Self:
        """Open the journal at `path`, or begin a new one.

        Raises
        ------
        StoreProblem
            If the file is no journal, is from a newer version or cannot be written.

        """
        path = Path(path)
        return cls(path, Journal.open(path), clock)

    def close(self) -> None:
        """Close the journal."""
        self._journal.close()

    def __enter__(self) -> Self:
        """Return the garden itself."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Close the journal."""
        self.close()

    def written_by(self, pen: Pen | None) -> Self:
        """Return this garden as one person writes in it; journal, clock and memory are shared.

        Parameters
        ----------
        pen : Pen or None
            Signs what is written and refuses what its role may not; None for no such limit.

        """
        view = copy.copy(self)
        view._pen = pen
        return view

    def as_at(self, moment: datetime) -> Self:
        """Return this garden with its clock standing at a moment, to look back at a heap's end.

        Journal and memory are shared; entries made later are there all the same.
        """
        view = copy.copy(self)
        view._clock = lambda: moment
        return view

    def now(self) -> datetime:
        """Return the present moment in UTC."""
        return self._clock().astimezone(UTC)

    def entries(self) -> tuple[Entry, ...]:
        """Return every entry of the journal in order of arrival."""
        return self._current().entries

    def entries_after(self, sequence: int) -> tuple[int, tuple[Entry, ...]]:
        """Return what arrived after a sequence number, and the last number; 0 gives all."""
        return self._journal.entries_after(sequence)

    def state(self) -> GardenState:
        """Return the garden as the journal tells it."""
        return self._current().state

    def mark(self) -> int:
        """Return a number that changes whenever the journal does."""
        return self._current().mark

    def reader(self) -> Reader:
        """Return who answers are rendered for, by the garden's settings."""
        settings = self.state().settings
        return Reader(UnitSystem(settings.units), language(settings.language))

    def checked(self, entries: Sequence[Entry]) -> list[Entry]:
        """Return the entries with clean bodies.

        Raises
        ------
        HeapwrightError
            If a field cannot be right or lies in the future.

        """
        now = self.now()
        return [checked_entry(entry, now=now) for entry in entries]

    def append(
        self,
        entries: Sequence[Entry],
        *,
        must_make_sense: bool = True,
        photos: Sequence[Photo] = (),
    ) -> AppendResult:
        """Store checked entries in one transaction.

        Parameters
        ----------
        entries : sequence of Entry
        must_make_sense : bool
            Refuse entries that cannot be (a reading in an empty bin). An entry that waited in a
            phone is stored all the same and told in `GardenState.problems`, so that nothing a
            person wrote is lost.
        photos : sequence of Photo
            Those that the entries name.

        """
        if self._pen is not None:
            entries = self._pen.sign(entries, self._current().entries)
        if must_make_sense:
            self._refuse_nonsense(entries)
        return self._journal.append(entries, all_or_none=True, photos=photos)

    @property
    def photos(self) -> PhotoStore:
        """The photos that entries name."""
        return self._journal.photos

    def bin(self, bin_key: str) -> BinState:
        """Return a bin in use by its key.

        Raises
        ------
        NotFound
            If there is no such bin, or it was put out of use; names those there are.

        """
        state = self.state()
        bins = state.bins_in_use
        if bin_key in bins:
            return bins[bin_key]
        known = ", ".join(f"{b.key} ({b.name})" for b in bins.values()) or "none yet"
        what = worded('No bin is called "{bin_key}"', bin_key=bin_key)
        if bin_key in state.bins:
            what = worded("{name} was put out of use", name=state.bins[bin_key].name)
        raise NotFound(what, instead=worded("The bins are: {known}", known=known))

    def batch_in(self, bin_key: str) -> BatchState | None:
        """Return what lies in a bin, or None."""
        key = self.bin(bin_key).batch_key
        return None if key is None else self.state().batches[key]

    def lot(self, lot_key: str) -> LotState:
        """Return a lot by its key.

        Raises
        ------
        NotFound
            If there is no such lot.

        """
        lots = self.state().lots
        if lot_key not in lots:
            known = ", ".join(sorted(lots)) or "none yet"
            raise NotFound(
                worded('No lot is called "{lot_key}"', lot_key=lot_key),
                instead=worded("The lots are: {known}", known=known),
            )
        return lots[lot_key]

    def readings_of_bin(self, bin_key: str) -> tuple[Entry, ...]:
        """Return the readings of what lies in the bin now, in order of time."""
        batch_key = self.bin(bin_key).batch_key
        if batch_key is None:
            return ()
        entries = self.state().batches[batch_key].entries
        return tuple(entry for entry in entries if entry.kind is EntryKind.READING)

    def remembered(self, key: tuple[object, ...], make: Callable[[], T]) -> T:
        """Return what is remembered under `key`, making it the first time.

        The key must name everything the value depends on; the oldest are forgotten.
        """
        with self._lock:
            if key in self._memory:
                return cast(T, self._memory[key])
            turn = self._making.setdefault(key, threading.Lock())
        with turn:  # whoever asks for the same meanwhile waits for it instead of making it twice
            return self._made(key, make)

    def recalled(self, key: tuple[object, ...]) -> Any | None:
        """Return what is remembered under `key`, or None."""
        with self._lock:
            return self._memory.get(key)

    def _made(self, key: tuple[object, ...], make: Callable[[], T]) -> T:
        with self._lock:
            if key in self._memory:
                return cast(T, self._memory[key])
        try:
            value = make()
            with self._lock:
                self._memory[key] = value
                while len(self._memory) > MOST_REMEMBERED:
                    del self._memory[next(iter(self._memory))]
            return value
        finally:
            with self._lock:
                self._making.pop(key, None)

    def _current(self) -> _Snapshot:
        with self._lock:
            mark = self._journal.last_sequence()
            latest = self._latest.snapshot
            if latest is None or latest.mark != mark:
                # Only what is new is read: a probe adds a line every few minutes for months.
                before = latest.entries if latest is not None else ()
                mark, new = self._journal.entries_after(latest.mark if latest is not None else 0)
                entries = before + new
                latest = self._latest.snapshot = _Snapshot(mark, entries, fold(entries))
            return latest

    def _refuse_nonsense(self, entries: Sequence[Entry]) -> None:
        current = self._current()
        known = {entry.id for entry in current.entries}
        new = [entry for entry in entries if entry.id not in known]
        if not new:
            return
        before = set(current.state.problems)
        after = fold((*current.entries, *new)).problems
        fresh = [problem for problem in after if problem not in before]
        if fresh:
            raise OutOfRange(worded("That cannot be: {fresh}", fresh=fresh[0]))
