"""Takes in what a probe reports: puts its clock right, knows repeats, stores each reading once.

Knows the way from reports to entries and says of each what became of it. Knows no wire form
(`web.api_probe_models`) and no token (`workshop.probes`).
"""

from __future__ import annotations

import threading
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from heapwright.errors import AlreadyThere, HeapwrightError, NotFound, OutOfRange, StoreProblem
from heapwright.journal.entries import Entry, EntryKind, ProbeState
from heapwright.journal.fold_probes import PROBE_ORIGIN
from heapwright.journal.probe_tokens import ProbeTokens
from heapwright.probes.clock import BoardClock, clock_of, taken_at
from heapwright.probes.identity import identity
from heapwright.probes.settings import code_of
from heapwright.probes.types import Report
from heapwright.wording import worded
from heapwright.workshop.garden import Garden
from heapwright.workshop.probe_book import StoredOf, probe_book

#: Two programs may store for one garden at once (pages and listener): so often it is tried anew.
_TRIES = 5
_one_at_a_time: defaultdict[str, threading.Lock] = defaultdict(threading.Lock)


class Became(StrEnum):
    """What became of a reading."""

    STORED = "stored"
    ALREADY_THERE = "already there"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one reading of a message.

    Attributes
    ----------
    became : Became
    entry_id : str
        Of the journal's entry; "" when refused.
    at : datetime or None
        When it was taken, set right; None when refused.
    problem : HeapwrightError or None
        Why it was refused.

    """

    became: Became
    entry_id: str = ""
    at: datetime | None = None
    problem: HeapwrightError | None = None


@dataclass(frozen=True, slots=True)
class Received:
    """What became of a message.

    Attributes
    ----------
    outcomes : tuple of Outcome
        In the order of its readings.
    clock_behind : timedelta
        How slow the board's clock was (negative: fast), 0 when it did not say or is right.

    """

    outcomes: tuple[Outcome, ...]
    clock_behind: timedelta

    def count(self, became: Became) -> int:
        """Return of how many readings this became."""
        return sum(one.became is became for one in self.outcomes)


def receive(
    garden: Garden,
    probe_key: str,
    reports: Sequence[Report | HeapwrightError],
    *,
    sent_at: datetime | None = None,
    may_have_waited: bool = False,
    is_repeat: bool = False,
    is_kept: bool = False,
) -> Received:
    """Store a probe's readings, each once in whatever order and however often they arrive.

    Parameters
    ----------
    garden : Garden
    probe_key : str
    reports : sequence of Report or HeapwrightError
        An error stands for a reading that could not even be read.
    sent_at : datetime, optional
        What the board's own clock showed when it sent.
    may_have_waited : bool
        Whether the message may have lain at a broker.
    is_repeat : bool
        Whether the broker says that it delivered it before.
    is_kept : bool
        Whether it is one that the broker keeps for whoever comes: a reading without a time in it
        is of nobody knows when.

    Returns
    -------
    Received
        When it returns, what is stored outlives a power cut.

    Raises
    ------
    NotFound
        When there is no such probe in use.
    StoreProblem
        When the journal cannot be written, or another program was faster each time; then nothing
        is stored, and it may be sent again.

    """
    with _one_at_a_time[str(garden.path)]:
        for _ in range(_TRIES):
            now = garden.now()
            clock = clock_of(sent_at, now, may_have_waited=may_have_waited)
            visit = _Visit(garden, _probe(garden, probe_key), clock, now, is_repeat, is_kept)
            told = [visit.take(one) for one in reports]
            try:
                garden.append(visit.entries, must_make_sense=False)
            except AlreadyThere:
                continue  # the other program was faster: look anew what is there
            visit.note_refusals(told)
            shift = timedelta(0) if clock.is_right else clock.behind
            return Received(tuple(told), shift)
    raise StoreProblem(
        worded(
            "The readings of probe {probe_key} could not be stored just now", probe_key=probe_key
        ),
        why="another program stores the same readings at this moment",
        instead="Send them again",
    )


def _probe(garden: Garden, probe_key: str) -> ProbeState:
    probe = probe_book(garden).probes(garden).get(probe_key)
    if probe is None or not probe.in_use:
        raise NotFound(
            worded('No probe is called "{probe_key}"', probe_key=probe_key[:40]),
            instead="Enter it on the page of probes, or use the key shown there",
        )
    return probe


class _Visit:
    """One message while its readings are taken in."""

    def __init__(
        self,
        garden: Garden,
        probe: ProbeState,
        clock: BoardClock,
        now: datetime,
        is_repeat: bool,
        is_kept: bool,
    ) -> None:
        self.entries: list[Entry] = []
        self._garden, self._probe, self._clock, self._now = garden, probe, clock, now
        self._is_repeat, self._is_kept = is_repeat, is_kept
        self._stored: StoredOf = probe_book(garden).stored_of(garden, probe)

    def take(self, report: Report | HeapwrightError) -> Outcome:
        """Return what becomes of one reading; a new one is put with the entries to store."""
        if isinstance(report, HeapwrightError):
            return Outcome(Became.REFUSED, problem=report)
        try:
            return self._take(report)
        except HeapwrightError as problem:
            return Outcome(Became.REFUSED, problem=problem)

    def _take(self, report: Report) -> Outcome:
        _refuse_codes(report)
        if self._is_kept and not report.has_time:
            raise _of_nobody_knows_when()
        at = taken_at(report, self._clock, self._now)
        known = identity(
            self._probe.key, report, at, self._clock, self._stored, is_repeat=self._is_repeat
        )
        if known.is_stored:
            return Outcome(Became.ALREADY_THERE, known.entry_id, at)
        entry = self._garden.checked([self._entry(report, known.entry_id, at)])[0]
        self.entries.append(entry)
        self._stored.add(entry)
        return Outcome(Became.STORED, entry.id, entry.at)

    def _entry(self, report: Report, entry_id: str, at: datetime) -> Entry:
        bin_key, depth_m, where = self._probe.place_at(at)
        body = {
            "bin": bin_key,
            "temperature_c": round(report.temperature_c, 4),
            "depth_m": depth_m if report.depth_m is None else report.depth_m,
            "probe": self._probe.key,
        }
        if where:
            body["where"] = where
        return Entry(entry_id, EntryKind.READING, at, body, self._now, origin=PROBE_ORIGIN)

    def note_refusals(self, told: Sequence[Outcome]) -> None:
        """Keep the last refusal, so that the gardener sees why a probe that reports is not read."""
        refused = [one.problem for one in told if one.problem is not None]
        if refused:
            tokens = ProbeTokens(self._garden.path)
            tokens.note_refusal(self._probe.key, self._now, refused[-1].explanation())


def _refuse_codes(report: Report) -> None:
    code = code_of(report.temperature_c)
    if code is not None:
        raise OutOfRange(
            worded(
                "{value_c:g} °C is no temperature of the heap: it is {meaning}",
                value_c=code.value_c,
                meaning=code.meaning,
            ),
            instead=code.do,
            kept="It was not stored as a reading.",
        )


def _of_nobody_knows_when() -> OutOfRange:
    return OutOfRange(
        "A message that the broker keeps for everybody holds a reading without a time",
        why="nobody knows how old it is",
        instead="Publish readings without the retain flag, or with at or ago_s and sent_at",
    )
