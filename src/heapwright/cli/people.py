"""Reads what people type for a bin, a moment, water, compost taken out, lots with counts.

Knows the forms of a command line's words. Units are read by `quantities`, dates by the journal's
reader; nothing here knows what the values are for.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, timedelta, tzinfo
from zoneinfo import ZoneInfo

from heapwright.errors import NotFound, NotUnderstood, OutOfRange
from heapwright.journal.csv_dates import DateCell, moment, read_date, read_time
from heapwright.quantities import UnitSystem, parse_number, parse_volume_m3, to_si
from heapwright.quantities.amounts import Amount, parse_amount, parse_amount_of
from heapwright.quantities.containers import Container
from heapwright.wording import worded
from heapwright.workshop.garden import Garden

_AGO = re.compile(r"(?P<count>.+?)\s*(?P<unit>minutes?|mins?|hours?|h|days?|d|weeks?)\s+ago")
_AGO_UNITS = {
    "m": timedelta(minutes=1),
    "h": timedelta(hours=1),
    "d": timedelta(days=1),
    "w": timedelta(weeks=1),
}
_SECONDS = re.compile(
    r"(?P<number>[\d.,/ ½¼¾]+?)\s*(?:s|secs?|seconds?)\.?(?:\s+(?:of\s+)?(?:the\s+)?hose)?"
)
_BARE_NUMBER = re.compile(r"[−-]?[\d.,/ ½¼¾]+")
_DAYS_BACK = {"today": 0, "yesterday": 1}
_WHEN_EXAMPLE = "Write it such as 7:30, yesterday 18:10, 2 hours ago or 2026-05-03 07:30"


def zone_of(garden: Garden) -> tzinfo:
    """Return the garden's time zone."""
    return ZoneInfo(garden.state().settings.time_zone)


def bin_key(garden: Garden, said: str) -> str:
    """Return the key of the bin that a person calls by its key, its name, or how one begins.

    Raises
    ------
    NotFound
        If there is none; names those there are.

    """
    there = garden.state().bins_in_use.values()
    return garden.bin(_called(said, [(one.key, one.name) for one in there])).key


def probe_key(garden: Garden, said: str) -> str:
    """Return the key of the probe that a person calls by its key, its name, or how one begins.

    Raises
    ------
    NotFound
        If there is none; names those there are.

    """
    from heapwright.workshop.probes import probe_of

    there = garden.state().probes.values()
    return probe_of(garden, _called(said, [(p.key, p.name) for p in there if p.in_use])).key


def bed_key(garden: Garden, said: str) -> str:
    """Return the key of the bed that a person calls by its key, its name, or how one begins.

    Raises
    ------
    NotFound
        If there is none; names those there are.

    """
    from heapwright.workshop.beds_log import bed_of

    there = garden.state().year.beds_in_use.values()
    return bed_of(garden, _called(said, [(one.key, one.name) for one in there])).key


def _called(said: str, there: Sequence[tuple[str, str]]) -> str:
    """Return the key of the one (key, name) that is called so or begins so; else what was said."""
    plain = said.strip().casefold()
    ways = (
        [key for key, _ in there if key.casefold() == plain],
        [key for key, name in there if name.casefold() == plain],
        [
            key
            for key, name in there
            if plain and (key.casefold().startswith(plain) or name.casefold().startswith(plain))
        ],
    )
    return next((found[0] for found in ways if len(found) == 1), said.strip())


def when_at(garden: Garden, said: str | None) -> datetime | None:
    """Return the moment a person means, None when nothing was said."""
    return None if said is None else parse_when(said, zone_of(garden), garden.now())


def parse_when(said: str, zone: tzinfo, now: datetime) -> datetime:
    """Return the moment in UTC that a person means.

    Parameters
    ----------
    said : str
        "now", "7:30", "yesterday", "yesterday 18:10", "2 hours ago", "2026-05-03 07:30",
        "3 May 2026 6 pm". A day without a time of day is noon.
    zone : tzinfo
        The garden's own.
    now : datetime

    Raises
    ------
    NotUnderstood
        If it is none of these, or a date can be read two ways.

    """
    plain = said.strip()
    lower = plain.lower()
    if lower in ("now", "today"):
        return now
    if ago := _AGO.fullmatch(lower):
        count = parse_number(ago["count"], what="How long ago")
        return now - count * _AGO_UNITS[ago["unit"][0]]
    first, _, rest = lower.partition(" ")
    if first in _DAYS_BACK:
        day = (now.astimezone(zone) - timedelta(days=_DAYS_BACK[first])).date()
        return _on_day(DateCell("said", day.month, day.day, day.year, rest), zone)
    try:
        clock_time, offset = read_time(plain)
    except NotUnderstood:
        return _on_day(_date(plain), zone)
    today = now.astimezone(offset or zone).date()
    return datetime.combine(today, clock_time, tzinfo=offset or zone).astimezone(UTC)


def _on_day(cell: DateCell, zone: tzinfo) -> datetime:
    return moment(cell, "", _day_first(cell), zone)[0]


def _date(said: str) -> DateCell:
    try:
        return read_date(said)
    except NotUnderstood as problem:
        raise NotUnderstood(
            worded('The time "{said}"', said=said), instead=_WHEN_EXAMPLE
        ) from problem


def _day_first(cell: DateCell) -> bool:
    """Return whether the day stands first in 31/4/2026; refuse what can be read both ways."""
    if cell.form or cell.first == cell.second or cell.second > 12:
        return False
    if cell.first > 12:
        return True
    raise NotUnderstood(
        worded(
            "The date {first}/{second}/{year}", first=cell.first, second=cell.second, year=cell.year
        ),
        why="it can be day/month or month/day",
        instead="Write it with the year first, such as 2026-05-03",
    )


def amount_of(said: str, own: Iterable[Container], system: UnitSystem) -> tuple[Amount, str, str]:
    """Return an amount, how it was said, and the words for the material behind it.

    Raises
    ------
    NotUnderstood, OutOfRange
        If no amount is said, the material lacks, or the amount cannot be.

    """
    words, containers = said.split(), tuple(own)
    amount, material = parse_amount_of(" ".join(words), containers, system)
    if not material:
        raise NotUnderstood(
            worded('"{said}" names no material', said=said),
            instead='Write such as "2 pails coffee grounds"',
        )
    spoken = " ".join(words).rstrip(" ,")[: -len(material)].rstrip(" ,")
    return amount, spoken.removesuffix(" of"), material


def water_kg(garden: Garden, said: str, system: UnitSystem) -> float:
    """Return water in kg from "2 pails", "10 L", "5 gal", "12 kg" or "40 s" of the hose.

    Raises
    ------
    NotUnderstood, OutOfRange
        If it is no amount, or the hose's flow is not known.

    """
    if seconds := _SECONDS.fullmatch(said.strip().lower()):
        return _from_hose(garden, parse_number(seconds["number"], what="Seconds of the hose"))
    if re.fullmatch(r"\s*0+\s*|\s*(none|no water)\s*", said.lower()):
        return 0.0
    if _BARE_NUMBER.fullmatch(said.strip()):
        return _water_mass(parse_volume_m3(said, system, what="Water"))
    amount = _amount(garden, said, system)
    return amount.mass_kg if amount.mass_kg is not None else _water_mass(_volume(amount))


def _from_hose(garden: Garden, seconds: float) -> float:
    flow = garden.state().settings.hose_kg_s
    if flow is None:
        raise NotUnderstood(
            worded("{seconds:g} seconds of the hose", seconds=seconds),
            why="how much your hose gives is not known yet",
            instead='Time it into a pail, then `heapwright setup --hose "5 gal in 40 s"`',
        )
    if seconds < 0:
        raise OutOfRange(
            worded("Water {seconds:g} seconds", seconds=seconds),
            why="it cannot be less than nothing",
        )
    return seconds * flow


def _water_mass(volume_m3: float) -> float:
    # 1 kg of water is 1 litre, as everywhere in this program (see `sentences.Measure.WATER`).
    return volume_m3 / to_si(1.0, "L")


def hose_kg_s(garden: Garden, said: str, system: UnitSystem) -> float:
    """Return the hose's flow in kg/s from "5 gal in 40 s" or "12 L in a minute".

    Raises
    ------
    NotUnderstood, OutOfRange
        If the amount or the time is missing.

    """
    match = re.fullmatch(r"(.+?)\s+(?:in|per|/)\s+(.+?)\s*(s|secs?|seconds?|min|minutes?)", said)
    if match is None:
        raise NotUnderstood(
            worded('The hose "{said}"', said=said), instead='Write it such as "5 gal in 40 s"'
        )
    minute = match[3].startswith("m")
    time_s = parse_number(match[2], what="Time") * (60.0 if minute else 1.0)
    if time_s <= 0:
        raise OutOfRange(
            worded('The hose "{said}"', said=said), why="the time must be more than nothing"
        )
    return water_kg(garden, match[1], system) / time_s


def compost_m3(garden: Garden, said: str, system: UnitSystem) -> float:
    """Return a volume of compost from "2 wheelbarrows", "3 pails" or "40 L". [m³]

    Raises
    ------
    NotUnderstood, OutOfRange
        If it is no amount, or a weight.

    """
    return _volume(_amount(garden, said, system))


def taken_out(garden: Garden, said: str, system: UnitSystem) -> dict[str, object]:
    """Return the fields of compost taken out: all of it, or a volume. [m³]"""
    if said.strip().lower() in ("all", "everything", "all of it"):
        return {"all": True}
    if _BARE_NUMBER.fullmatch(said.strip()):
        return {"volume_m3": parse_volume_m3(said, system, what="Compost taken out")}
    return {"volume_m3": _volume(_amount(garden, said, system))}


def _amount(garden: Garden, said: str, system: UnitSystem) -> Amount:
    from heapwright.workshop.stock import own_containers

    return parse_amount(said, own_containers(garden.state()), system)


def _volume(amount: Amount) -> float:
    volume = amount.volume_m3
    if volume is None:
        raise NotUnderstood(
            worded("{mass_kg:g} kg is a weight", mass_kg=amount.mass_kg),
            why="a volume is asked for here",
            instead='Say it such as "2 pails" or "20 L"',
        )
    return volume.typical


def pairs(said: Iterable[str], form: str) -> list[tuple[str, str]]:
    """Return NAME=VALUE options as pairs.

    Parameters
    ----------
    said : iterable of str
    form : str
        How it should look, for the message: "LOT=COUNT".

    """
    found = []
    for text in said:
        name, equals, value = text.partition("=")
        if not equals or not name.strip() or not value.strip():
            raise NotUnderstood(
                worded('"{text}" is not {form}', text=text, form=form),
                instead=worded("Write {form}", form=form),
            )
        found.append((name.strip(), value.strip()))
    names = [name for name, _ in found]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise NotUnderstood(worded('"{twice}" is said twice', twice=twice), instead="Say it once")
    return found


def lot_counts(garden: Garden, said: Sequence[str]) -> dict[str, float]:
    """Return LOT=COUNT options by lot.

    Raises
    ------
    NotFound, NotUnderstood, OutOfRange
        If a lot is unknown or a count cannot be.

    """
    counts = {}
    for lot, text in pairs(said, "LOT=COUNT"):
        garden.lot(lot)
        counts[lot] = number(text, worded("Containers of {lot}", lot=lot))
    return counts


def number(text: str, what: str) -> float:
    """Return a number that is not below 0."""
    value = parse_number(text, what=what)
    if value < 0:
        raise OutOfRange(
            worded("{what}: {value:g}", what=what, value=value),
            why="it cannot be less than nothing",
        )
    return value


def entry_id(garden: Garden, said: str) -> str:
    """Return the full id of an entry from as much of its beginning as is clear.

    Raises
    ------
    NotFound, NotUnderstood
        If no entry or several begin so.

    """
    wanted = said.strip().lower()
    ids = sorted({entry.id for entry in garden.entries() if entry.id.startswith(wanted)})
    if not wanted or not ids:
        raise NotFound(
            worded('No entry has an id that begins with "{said}"', said=said),
            instead="`heapwright undo` lists the last entries with their ids",
            kept="Nothing was changed.",
        )
    if len(ids) > 1:
        raise NotUnderstood(
            worded(
                '{number} entries have ids that begin with "{said}"', number=len(ids), said=said
            ),
            instead="Give more of the id",
            kept="Nothing was changed.",
        )
    return ids[0]
