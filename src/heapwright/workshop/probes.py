"""Enters, moves and withdraws thermometers that report by themselves, and tells how they are.

Knows which entries and which token belong to a probe. Knows nothing of what becomes of a report
(`probe_receive`) or of wire forms.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from heapwright.errors import HeapwrightError, NotFound
from heapwright.journal.entries import EntryKind, ProbeState
from heapwright.journal.fold_probes import is_from_probe
from heapwright.journal.probe_tokens import LastRefusal, ProbeTokens
from heapwright.probes.health import Ill, troubles, usual_interval
from heapwright.probes.settings import probe_limits
from heapwright.probes.types import Heard
from heapwright.probes.words import to_do, told
from heapwright.sentences import Sentence
from heapwright.wording import worded
from heapwright.workshop.answers import LogAnswer
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log
from heapwright.workshop.setup import free_key
from heapwright.workshop.weather import garden_weather

HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class ProbeMade:
    """A new probe, or a new token; the token is to be read here and never again."""

    answer: LogAnswer
    key: str
    token: str


@dataclass(frozen=True, slots=True)
class ProbeIll:
    """What is wrong with a probe, in words, and what to do."""

    what: Ill
    told: Sentence
    to_do: Sentence


@dataclass(frozen=True, slots=True)
class ProbeShown:
    """A probe as it is now.

    Attributes
    ----------
    key, name, bin_key, bin_name : str
    depth_m : float
    where : str
    last_c : float or None
        Its newest reading; None when there is none. [°C]
    last_at, heard_at : datetime or None
        When that was taken, and when it was heard from last.
    usual_minutes : float or None
        How often it is heard from; None when it never was.
    readings : int
        How many are stored.
    has_token : bool
    ills : tuple of ProbeIll
    last_refusal : LastRefusal or None
        What of its last faulty message was not stored, if nothing good came since.

    """

    key: str
    name: str
    bin_key: str
    bin_name: str
    depth_m: float
    where: str
    last_c: float | None
    last_at: datetime | None
    heard_at: datetime | None
    usual_minutes: float | None
    readings: int
    has_token: bool
    ills: tuple[ProbeIll, ...]
    last_refusal: LastRefusal | None


def probe_of(garden: Garden, key: str) -> ProbeState:
    """Return a probe in use by its key.

    Raises
    ------
    NotFound
        If there is none; names those there are.

    """
    there = {one.key: one for one in _in_use(garden)}
    if key in there:
        return there[key]
    known = ", ".join(f"{one.key} ({one.name})" for one in there.values()) or "none yet"
    raise NotFound(
        worded('No probe is called "{key}"', key=key[:40]),
        instead=worded("The probes are: {known}", known=known),
    )


def add_probe(
    garden: Garden,
    name: str,
    bin_key: str,
    *,
    origin: str,
    depth_m: float | None = None,
    where: str = "",
    entry_id: str | None = None,
) -> ProbeMade:
    """Enter a probe and make its token.

    Parameters
    ----------
    garden : Garden
    name : str
        What the person calls it; its key is made from that.
    bin_key : str
        Where it is.
    origin : str
        Where it was written, see `Entry.origin`.
    depth_m : float, optional
        Of its tip; the garden's usual depth if not given. [m]
    where : str
        Place in the heap, "" for its middle.
    entry_id : str, optional
        As for `workshop.log.log`.

    Raises
    ------
    HeapwrightError
        If the bin is unknown or a value cannot be right.

    """
    garden.bin(bin_key)
    state = garden.state()
    key = free_key(name, state.probes)
    depth = state.settings.probe_depth_m if depth_m is None else depth_m
    body = {"key": key, "name": name, "bin": bin_key, "depth_m": depth}
    body |= {"where": where} if where else {}
    answer = log(garden, EntryKind.PROBE, body, entry_id=entry_id, origin=origin)
    return ProbeMade(answer, key, ProbeTokens(garden.path).renew(key))


def move_probe(
    garden: Garden,
    key: str,
    bin_key: str,
    *,
    origin: str,
    depth_m: float | None = None,
    entry_id: str | None = None,
) -> LogAnswer:
    """Put a probe into another bin, or to another depth; arguments as for `add_probe`.

    Its place in the heap and, if none is given, its depth stay.

    Raises
    ------
    HeapwrightError
        If probe or bin are unknown or a value cannot be right.

    """
    probe = probe_of(garden, key)
    garden.bin(bin_key)
    body = {
        "key": key,
        "name": probe.name,
        "bin": bin_key,
        "depth_m": probe.depth_m if depth_m is None else depth_m,
    }
    body |= {"where": probe.where} if probe.where else {}
    at = _after_last_place(garden, probe)
    return log(garden, EntryKind.PROBE, body, at=at, entry_id=entry_id, origin=origin)


def _after_last_place(garden: Garden, probe: ProbeState) -> datetime:
    """Return now; of two things said of a probe in the same moment the later said one counts."""
    return max(garden.now(), probe.places[-1][0] + timedelta(milliseconds=1))


def renew_token(garden: Garden, key: str) -> str:
    """Return a new token for a probe; the old one no longer counts.

    Raises
    ------
    NotFound
        If there is no such probe.

    """
    return ProbeTokens(garden.path).renew(probe_of(garden, key).key)


def withdraw_probe(
    garden: Garden, key: str, *, origin: str, why: str = "", entry_id: str | None = None
) -> LogAnswer:
    """Withdraw a probe and its token; what it reported stays.

    Raises
    ------
    NotFound
        If there is no such probe.

    """
    probe = probe_of(garden, key)
    body = {"probe": probe.key} | ({"why": why} if why else {})
    at = _after_last_place(garden, probe)
    answer = log(garden, EntryKind.PROBE_GONE, body, at=at, entry_id=entry_id, origin=origin)
    ProbeTokens(garden.path).withdraw(key)
    return answer


def probes(garden: Garden) -> tuple[ProbeShown, ...]:
    """Return every probe in use, as it is now."""
    there, tokens = _in_use(garden), ProbeTokens(garden.path)
    heard, ills = _heard(garden), _ills(garden, there)
    return tuple(
        _shown(garden, one, heard.get(one.key, ()), tokens, found)
        for one, found in zip(there, ills, strict=True)
    )


def probe_troubles(garden: Garden, bin_key: str) -> tuple[Sentence, ...]:
    """Return what is wrong with the probes of a bin, each with what to do."""
    there = [one for one in _in_use(garden) if one.bin_key == bin_key]
    return tuple(
        sentence
        for found in _ills(garden, there)
        for ill in found
        for sentence in (ill.told, ill.to_do)
    )


def _in_use(garden: Garden) -> list[ProbeState]:
    return [one for one in garden.state().probes.values() if one.in_use]


def _ills(garden: Garden, there: Sequence[ProbeState]) -> list[tuple[ProbeIll, ...]]:
    """Return of each of these probes what is wrong with it."""
    if not there:
        return []
    now, heard, moved = garden.now(), _heard(garden), _air_moved_c(garden)
    return [
        tuple(
            ProbeIll(ill.what, told(ill, one.name, (now - ill.since) / HOUR), to_do(ill))
            for ill in troubles(
                heard.get(one.key, ()), now, entered_at=one.placed_at, others_moved_c=moved
            )
        )
        for one in there
    ]


def _shown(
    garden: Garden,
    probe: ProbeState,
    heard: Sequence[Heard],
    tokens: ProbeTokens,
    ills: tuple[ProbeIll, ...],
) -> ProbeShown:
    bins = garden.state().bins
    heard_at = max((one.heard_at for one in heard), default=None)
    refusal = tokens.last_refusal(probe.key)
    is_news = refusal is not None and (heard_at is None or refusal.at > heard_at)
    return ProbeShown(
        key=probe.key,
        name=probe.name,
        bin_key=probe.bin_key,
        bin_name=bins[probe.bin_key].name if probe.bin_key in bins else probe.bin_key,
        depth_m=probe.depth_m,
        where=probe.where,
        last_c=heard[-1].temperature_c if heard else None,
        last_at=heard[-1].at if heard else None,
        heard_at=heard_at,
        usual_minutes=usual_interval(heard) / timedelta(minutes=1) if heard else None,
        readings=len(heard),
        has_token=tokens.has_token(probe.key),
        ills=ills,
        last_refusal=refusal if is_news else None,
    )


def _heard(garden: Garden) -> Mapping[str, Sequence[Heard]]:
    """Return what is stored of every probe, in order of time."""

    def gathered() -> Mapping[str, Sequence[Heard]]:
        found: dict[str, list[Heard]] = defaultdict(list)
        for entry in garden.entries():
            if is_from_probe(entry):
                value = float(entry.body["temperature_c"])
                found[str(entry.body.get("probe", ""))].append(
                    Heard(entry.at, entry.written_at, value)
                )
        return {key: sorted(heard, key=lambda one: one.at) for key, heard in found.items()}

    if not garden.state().probes:
        return {}
    return garden.remembered(("probes heard", garden.mark()), gathered)


def _air_moved_c(garden: Garden) -> float | None:
    """Return how far the air moved in the time in which a stuck probe would have; None unknown."""
    now = garden.now().replace(minute=0, second=0, microsecond=0)
    begin = now - probe_limits()["stuck_hours"] * HOUR
    try:
        series = garden_weather(garden, begin, now + HOUR)
    except HeapwrightError:
        return None
    air = series.temperature_c
    return float(air.max() - air.min()) if air.size else None
