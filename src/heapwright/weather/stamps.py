"""Reads the time column of a weather file into UTC, whatever way the file counts its hours.

Knows ISO and slashed dates, "24:00", hour beginning or ending, winter time all year, zones with
clock changes, and years without a number. Knows nothing of weather.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta, timezone, tzinfo
from functools import lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import WeatherProblem
from heapwright.wording import worded

Hours = NDArray[np.datetime64]

#: The year that stamps without a year, and typical years, are laid on; without a 29 February.
TYPICAL_YEAR = 2001

#: Years a weather record can lie in: thermometers are not much older (our choice).
YEARS = range(1700, 2200)

_OFFSET = re.compile(r"UTC([+-])(\d{1,2})(?::?(\d{2}))?$")
_DATE = re.compile(r"(\d{1,4})[-/.](\d{1,2})(?:[-/.](\d{1,4}))?")
_CLOCK = re.compile(r"(\d{1,2}):?(\d{2})(?::(\d{2})(?:\.\d+)?)?\s*([AaPp][Mm])?")
_ZONE_AT_END = re.compile(r"(Z|[+-]\d{2}:?\d{2})$")


def zone_from_name(name: str) -> tzinfo:
    """Return a zone from "UTC", "UTC-05:00" (winter time all year) or a name such as "US/Arizona".

    Raises
    ------
    WeatherProblem
        If no such zone is known.

    """
    if name in ("UTC", "Z"):
        return UTC
    try:
        if match := _OFFSET.match(name):
            sign = -1 if match[1] == "-" else 1
            return timezone(sign * timedelta(hours=int(match[2]), minutes=int(match[3] or 0)))
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as problem:
        raise WeatherProblem(
            worded('"{name}" is not a time zone known here', name=name),
            instead='Write "UTC", "UTC-07:00" or a name such as "America/Phoenix"',
            kept="Nothing was read.",
        ) from problem


def _unreadable(text: str, row: int) -> WeatherProblem:
    return WeatherProblem(
        worded('Row {row}: "{text}" is not a date and time', row=row, text=text),
        instead='Times are written such as "2013-02-12 08:00" or "02/12/2013 08:00"',
        kept="Nothing was read.",
    )


def _day_stands_first(texts: Sequence[str]) -> bool:
    """Return whether slashed dates are day/month: some first number is above 12."""
    firsts = [m for m in (_DATE.match(t) for t in texts) if m and len(m[1]) <= 2 and m[3]]
    if any(int(m[1]) > 12 for m in firsts):
        return True
    separators = {m[0][len(m[1])] for m in firsts}
    return separators == {"."} and not any(int(m[2]) > 12 for m in firsts)


def without_year(texts: Sequence[str]) -> bool:
    """Return whether stamps name month and day but no year, as hourly normals do."""
    found = [_DATE.match(text.strip()) for text in texts]
    return bool(found) and all(m is not None and m[3] is None for m in found)


def months_of_several_years(texts: Sequence[str]) -> bool:
    """Return whether months run from January to December though the years differ.

    So it is with a typical year, whose months come from several; a record of real years starts
    January anew with each.
    """
    day_first = _day_stands_first(texts)
    seen: list[tuple[int, int]] = []
    for text in texts:
        match = _DATE.match(text.strip())
        if match is None or match[3] is None:
            return False
        if len(match[1]) == 4:
            month, year = int(match[2]), int(match[1])
        else:
            month, year = int(match[2 if day_first else 1]), int(match[3])
        if not seen or seen[-1] != (month, year):
            seen.append((month, year))
    return [month for month, _ in seen] == list(range(1, 13)) and len({y for _, y in seen}) > 1


def _date(match: re.Match[str], day_first: bool, typical: bool) -> date:
    if match[3] is None:
        return date(TYPICAL_YEAR, int(match[1]), int(match[2]))
    if len(match[1]) == 4:
        year, month, day = int(match[1]), int(match[2]), int(match[3])
    else:
        first, second, year = int(match[1]), int(match[2]), int(match[3])
        month, day = (second, first) if day_first else (first, second)
        year += 2000 if year < 100 else 0
    return date(TYPICAL_YEAR if typical else year, month, day)


@lru_cache(maxsize=2048)
def _clock_seconds(text: str) -> int | None:
    """Return seconds into the day of a clock such as "08:00", "24:00" or "2:30 pm"."""
    clock = _CLOCK.fullmatch(text or "00:00")
    if clock is None:
        return None
    hour = int(clock[1])
    if half := (clock[4] or "").casefold():
        hour = hour % 12 + (12 if half == "pm" else 0)
    seconds = hour * 3600 + int(clock[2]) * 60 + int(clock[3] or 0)
    return seconds if seconds <= 24 * 3600 else None


def _written(text: str, day_first: bool, typical: bool) -> tuple[int, int | None] | None:
    """Return local seconds since 1970 as written, and the offset [s] if the text names one."""
    match = _DATE.match(text)
    if match is None:
        return None
    rest = text[match.end() :].lstrip(" T,;")
    ending = _ZONE_AT_END.search(rest)
    seconds = _clock_seconds(rest[: ending.start()].strip() if ending else rest.strip())
    if seconds is None:
        return None
    try:
        day = _date(match, day_first, typical)
    except ValueError:
        return None
    if day.year not in YEARS:
        return None
    local = (day - date(1970, 1, 1)).days * 86400 + seconds
    return local, (_offset_s(ending[0]) if ending else None)


def _offset_s(text: str) -> int:
    offset = zone_from_name("UTC" if text == "Z" else "UTC" + text).utcoffset(None)
    return int(offset.total_seconds()) if offset is not None else 0


def _zone_offset_s(local: int, zone: tzinfo, second_time: bool) -> int:
    """Return the zone's offset at a local time; the doubled hour of autumn is told by order."""
    as_utc = datetime.fromtimestamp(local, UTC)
    stamp = as_utc.replace(tzinfo=zone, fold=int(second_time))
    offset, other = stamp.utcoffset(), stamp.replace(fold=1 - stamp.fold).utcoffset()
    if offset is None or other is None:
        return 0
    if offset != other:
        there_and_back = stamp.astimezone(UTC).astimezone(zone)
        if there_and_back.replace(tzinfo=UTC, fold=0) != as_utc:
            raise _left_out_hour(as_utc, zone)
    return int(offset.total_seconds())


def _left_out_hour(stamp: datetime, zone: tzinfo) -> WeatherProblem:
    return WeatherProblem(
        worded("{stamp:%Y-%m-%d %H:%M} does not exist in the zone {zone}", stamp=stamp, zone=zone),
        why="The clocks were put forward over it",
        instead='If the file keeps winter time all year, give a zone such as "UTC-05:00"',
        kept="Nothing was read.",
    )


def _offsets_s(written: Sequence[tuple[int, int | None]], zone: tzinfo) -> list[int]:
    fixed = zone.utcoffset(None)
    if fixed is not None:
        usual = int(fixed.total_seconds())
        return [usual if own is None else own for _, own in written]
    seen: set[int] = set()
    found = []
    for local, own in written:
        found.append(_zone_offset_s(local, zone, local in seen) if own is None else own)
        seen.add(local)
    return found


def read_stamps(
    texts: Sequence[str], *, zone: str, ending: bool = False, typical: bool = False
) -> Hours:
    """Return the beginning of each row's period in UTC.

    Parameters
    ----------
    texts : sequence of str
        The time column, date and clock joined.
    zone : str
        "UTC", a fixed offset such as "UTC-05:00", or a zone's name. An offset written in the
        stamp itself goes before it.
    ending : bool
        The stamp names the end of the hour it stands for ("24:00" is the day's last hour).
    typical : bool
        Leave the years out: months of a typical year come from several.

    Returns
    -------
    array of datetime64[s]
        UTC.

    Raises
    ------
    WeatherProblem
        If a stamp cannot be read, or names an hour the zone leaves out in spring.

    """
    place = zone_from_name(zone)
    day_first = _day_stands_first(texts)
    written = []
    for row, text in enumerate(texts, start=1):
        stamp = _written(text.strip(), day_first, typical)
        if stamp is None:
            raise _unreadable(text, row)
        # An hour's end is moved to its beginning before the zone is looked up: at the clock
        # change the two may have different offsets.
        written.append((stamp[0] - (3600 if ending else 0), stamp[1]))
    local = np.array([stamp for stamp, _ in written], dtype="datetime64[s]")
    return np.asarray(local - np.array(_offsets_s(written, place), dtype="timedelta64[s]"))
