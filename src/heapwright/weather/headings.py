"""Works out from a table's header which column is what, in the unit its own heading states.

Knows the words files use (headings.csv) and the units' spellings. Never guesses a unit: a heading
without one is a question back to the person.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cache

from heapwright.errors import WeatherProblem
from heapwright.tables import read_rows
from heapwright.weather import raw
from heapwright.weather.columns import ColumnPlan
from heapwright.weather.units import KINDS, spellings
from heapwright.wording import worded

_UTC_WORDS = ("utc", "gmt", "zulu")
_NOT_SAID = "?"


@cache
def _words() -> Mapping[str, tuple[str, str]]:
    """Return for each word its quantity and the unit it has in it, if any."""
    found = {}
    for row in read_rows("heapwright.weather", "headings.csv"):
        for entry in row["words"].split("|"):
            word, _, unit = entry.partition("=")
            found[word] = (row["quantity"], unit)
    return found


def _plain(text: str) -> str:
    """Return a heading in lower-case words: "Temp. [°C]" becomes "temp c"."""
    text = text.casefold().replace("%", " pct ").replace("°", "").replace("²", "2")
    return " ".join(re.findall(r"[a-z0-9]+", text))


@cache
def _unit_spellings(quantity: str) -> Mapping[str, str]:
    first_spelling_last = reversed(spellings(quantity))
    return {_plain(unit): unit for unit in first_spelling_last if _plain(unit)}


def _splits(plain: str) -> Iterator[tuple[str, str]]:
    """Yield (name, unit words), the longest unit first."""
    words = plain.split()
    for cut in range(1, len(words) + 1):
        yield " ".join(words[:cut]), " ".join(words[cut:])


def recognise(heading: str) -> tuple[str, str] | None:
    """Return (quantity, unit) of a heading, the unit "" if it states none; None if unknown.

    Parameters
    ----------
    heading : str
        Such as "wind_speed_mph" or "Temperature (°C)".

    """
    for name, unit in _splits(_plain(heading)):
        quantity, own_unit = _words().get(name, ("", ""))
        if quantity not in KINDS:
            continue
        if not unit:
            return quantity, own_unit
        if unit in _unit_spellings(quantity):
            return quantity, _unit_spellings(quantity)[unit]
    return None


def _time_columns(header: Sequence[str]) -> tuple[tuple[str, ...], str, bool]:
    """Return the time columns, the zone they name ("?" if none), and whether hours are ended."""
    kinds: dict[str, str] = {}
    for heading in header:
        bare = " ".join(
            w for w in _plain(heading).split() if w not in (*_UTC_WORDS, "lst", "local")
        )
        kind, _ = _words().get(bare, ("", ""))
        if kind in ("time", "date", "clock"):
            kinds.setdefault(kind, heading)
    if "time" in kinds and "date" not in kinds:
        chosen: tuple[str, ...] = (kinds["time"],)
    elif "date" in kinds:
        clock = kinds.get("clock") or kinds.get("time")
        chosen = (kinds["date"], clock) if clock else (kinds["date"],)
    else:
        raise WeatherProblem(
            "The file does not look like weather: no column is a time or a date",
            instead=worded("Name it; the columns are: {header}", header=", ".join(header)),
            kept="Nothing was read.",
        )
    said = _plain(" ".join(chosen)).split()
    zone = "UTC" if any(word in said for word in _UTC_WORDS) else _NOT_SAID
    return chosen, zone, "ending" in said


def quantities_of(header: Sequence[str], units: Mapping[str, str]) -> dict[str, tuple[str, str]]:
    """Return each quantity's column and unit.

    Parameters
    ----------
    header : sequence of str
        Column headings.
    units : mapping of str to str
        Units of columns (or quantities) whose heading states none.

    Raises
    ------
    WeatherProblem
        If no weather is recognised or a unit is not stated.

    """
    found: dict[str, tuple[str, str]] = {}
    unstated: list[str] = []
    for heading in header:
        known = recognise(heading)
        if known is None or known[0] in found:
            continue
        quantity, unit = known
        unit = units.get(heading, units.get(quantity, unit))
        if unit:
            found[quantity] = (heading, unit)
        else:
            unstated.append(heading)
    if unstated:
        raise WeatherProblem(
            worded('The heading "{unstated}" states no unit', unstated=unstated[0]),
            why="A number without a unit could be anything",
            instead=worded(
                'Say it, such as {unstated} in "{unstated_2}"',
                unstated=unstated[0],
                unstated_2=_example(unstated[0]),
            ),
            kept="Nothing was read.",
        )
    if not found:
        raise WeatherProblem(
            "The file does not look like weather: no column is known",
            instead=worded(
                "Name them with their units; the columns are: {header}", header=", ".join(header)
            ),
            kept="Nothing was read.",
        )
    return found


def plan_from_header(
    header: Sequence[str], *, zone: str = "", units: Mapping[str, str] | None = None
) -> ColumnPlan:
    """Return which column is what, as the header says.

    Parameters
    ----------
    header : sequence of str
        Column headings.
    zone : str
        The zone of the times; needed unless the heading says UTC or every stamp names its offset.
    units : mapping of str to str, optional
        Units of columns (or quantities) whose heading states none.

    Returns
    -------
    ColumnPlan
        With zone "?" where nothing says which zone the times are in.

    Raises
    ------
    WeatherProblem
        If no time or no weather is recognised, or a unit is not stated.

    """
    time, zone_said, ending = _time_columns(header)
    found = quantities_of(header, units or {})
    return ColumnPlan(time=time, quantities=found, zone=zone or zone_said, ending=ending)


def _example(heading: str) -> str:
    known = recognise(heading)
    return spellings(known[0])[0] if known else ""


def is_daily(plan: ColumnPlan) -> bool:
    """Return whether a plan is of one row a day: it has the day's extremes and no clock."""
    return {raw.COLDEST, raw.WARMEST} <= set(plan.quantities) and (
        raw.TEMPERATURE not in plan.quantities
    )


def with_zone(plan: ColumnPlan, stamps: Sequence[str]) -> ColumnPlan:
    """Return the plan with its zone settled.

    Raises
    ------
    WeatherProblem
        If neither heading nor stamps nor the person said which zone the times are in.

    """
    if plan.zone != _NOT_SAID or is_daily(plan):
        return replace(plan, zone="UTC") if plan.zone == _NOT_SAID else plan
    if stamps and all(re.search(r"(Z|[+-]\d{2}:?\d{2})$", stamp.strip()) for stamp in stamps):
        return replace(plan, zone="UTC")
    raise WeatherProblem(
        "The file does not say which time zone its times are in",
        instead='Say it: "UTC", "UTC-07:00" for winter time all year, or a name such as '
        '"America/Phoenix"',
        kept="Nothing was read.",
    )
