"""Finds out which column of a thermometer's log holds what, by headings or by what is in it.

Knows headings and roles. Knows nothing of what becomes of a row.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from heapwright.errors import HeapwrightError, NotFound
from heapwright.journal.csv_dates import read_date, read_time
from heapwright.journal.csv_text import Row
from heapwright.journal.fields import shown
from heapwright.quantities import TemperatureUnit, parse_length_m, parse_temperature_c
from heapwright.tables import read_rows
from heapwright.wording import worded

#: Roles a person may give a column by hand ("" takes the role away).
ROLES = ("date", "time", "temperature", "unit", "depth", "note", "bin", "where", "probe")

# Loggers write a title and settings above the headings; never as many lines as this.
_HEADING_WITHIN = 30

_CELSIUS = ("c", "celsius", "centigrade", "degc", "tempc")
_FAHRENHEIT = ("f", "fahrenheit", "degf", "tempf")
# What a column of each length unit may be called; "in" is also a word, so it gives way to others.
_LENGTH_UNITS = ("cm", "mm", "m", "ft", "feet", "inch", "inches", "in")


@dataclass(frozen=True, slots=True)
class Question:
    """What the file does not tell and the person must: the argument that answers it."""

    answer: str  # "columns", "day_first", "default_unit", "depth_unit" or "bins"
    sentence: str


@dataclass(frozen=True, slots=True)
class Layout:
    """Where everything stands.

    Attributes
    ----------
    roles : mapping of str to int
        Column by role; always "temperature" and "date" when there are no questions. The date's
        column may hold the time too.
    headings : tuple of str
        As in the file, "column 1" and so on where there are none.
    rows : tuple of Row
        What stands under the headings, blank lines left out.
    unit : TemperatureUnit or None
        As the heading says.
    depth_unit : str
        As the heading says, "" when it does not.

    """

    roles: Mapping[str, int]
    headings: tuple[str, ...]
    rows: tuple[Row, ...]
    unit: TemperatureUnit | None
    depth_unit: str
    said: tuple[str, ...]
    questions: tuple[Question, ...]


def find_layout(rows: Sequence[Row], given: Mapping[str, str] | None = None) -> Layout:
    """Return the file's layout; what cannot be found out is asked.

    Parameters
    ----------
    rows : sequence of Row
    given : mapping of str to str, optional
        Role to heading, as the person says it; goes before what is found.

    Raises
    ------
    NotFound
        When `given` names a role or a heading that is not there.

    """
    filled = [row for row in rows if not row.is_blank]
    top, found = _heading_row(filled)
    if top is None:
        found = _by_content(filled[0])
        headings = tuple(worded("column {n}", n=n) for n, _ in enumerate(filled[0].cells, start=1))
        under = filled if found or _first_is_data(filled[0]) else filled[1:]
        if under is not filled:
            headings = _named(filled[0])
    else:
        headings, under = _named(filled[top]), filled[top + 1 :]
    roles = _with_given(found, headings, given or {})
    heading = headings[roles["temperature"]] if "temperature" in roles else ""
    depth_heading = headings[roles["depth"]] if "depth" in roles else ""
    return Layout(
        roles=roles,
        headings=headings,
        rows=tuple(under),
        unit=_temperature_unit(heading),
        depth_unit=_length_unit(depth_heading),
        said=_said(filled[: top or 0], headings, roles, top is None and bool(found)),
        questions=tuple(_questions(roles, headings)),
    )


def _named(row: Row) -> tuple[str, ...]:
    return tuple(cell or worded("column {n}", n=n) for n, cell in enumerate(row.cells, start=1))


def _heading_row(rows: Sequence[Row]) -> tuple[int | None, dict[str, int]]:
    for number, row in enumerate(rows[:_HEADING_WITHIN]):
        roles = _by_words(row.cells)
        if "temperature" in roles and "date" in roles:
            return number, roles
    return None, {}


@cache
def _words() -> tuple[tuple[str, re.Pattern[str]], ...]:
    return tuple(
        (row["role"], re.compile(rf"\b{row['word'].replace('*', '[a-z0-9]*')}\b"))
        for row in read_rows("heapwright.journal", "data/column_words.csv")
    )


def role_of(heading: str) -> str:
    """Return the role a heading tells, "" when none."""
    plain = _plain(heading)
    return next((role for role, word in _words() if word.search(plain)), "")


def _plain(heading: str) -> str:
    return re.sub(r"[^a-z0-9]+", " ", heading.lower()).strip()


def _by_words(cells: Sequence[str]) -> dict[str, int]:
    """Return the roles of a row of headings; of two columns for one role the first counts."""
    all_roles = [role_of(cell) for cell in cells]
    roles = {role: all_roles.index(role) for role in ROLES if role in all_roles}
    temperatures = [n for n, role in enumerate(all_roles) if role == "temperature"]
    if len(temperatures) > 1:
        core = [n for n in temperatures if re.search(r"\bcore|\bcent", cells[n].lower())]
        # Of several, one that says core is meant; else the person is asked.
        roles["temperature"] = core[0] if len(core) == 1 else -1
    if "moment" in all_roles:
        roles["date"] = all_roles.index("moment")
    elif "date" not in roles and "time" in roles:
        roles["date"] = roles.pop("time")
    return roles


def _first_is_data(row: Row) -> bool:
    return any(_reads(_temperature, cell) or _reads(read_date, cell) for cell in row.cells)


def _by_content(row: Row) -> dict[str, int]:
    """Return roles by what stands in a first row that has no headings; {} when it is not clear."""
    roles: dict[str, int] = {}
    readers: Mapping[str, Callable[[str], object]] = {
        "date": read_date,
        "time": read_time,
        "temperature": _temperature,
    }
    for number, cell in enumerate(row.cells):
        for role, read in readers.items():
            if role not in roles and _reads(read, cell):
                roles[role] = number
                break
    return roles if "date" in roles and "temperature" in roles else {}


def _temperature(text: str) -> float:
    return parse_temperature_c(text, TemperatureUnit.F)


def _reads(read: Callable[[str], object], cell: str) -> bool:
    try:
        read(cell)
    except HeapwrightError:
        return False
    return True


def _with_given(
    found: Mapping[str, int], headings: Sequence[str], given: Mapping[str, str]
) -> dict[str, int]:
    roles = dict(found)
    known = {heading.casefold(): n for n, heading in reversed(list(enumerate(headings)))}
    for role, heading in given.items():
        if role not in ROLES or (heading and heading.casefold() not in known):
            what = shown(heading) if role in ROLES else shown(role)
            raise NotFound(
                worded("There is no column {what} to hold {role}", what=what, role=role),
                instead=worded(
                    "The columns are: {headings}; they may hold {roles}",
                    headings=", ".join(headings),
                    roles=", ".join(ROLES),
                ),
            )
        roles.pop(role, None)
        if heading:
            roles[role] = known[heading.casefold()]
            # A column that was taken for something else is what the person says it is.
            roles = {r: n for r, n in roles.items() if r == role or n != roles[role]}
    return {role: n for role, n in roles.items() if n >= 0}


def _questions(roles: Mapping[str, int], headings: Sequence[str]) -> list[Question]:
    columns = ", ".join(headings)
    return [
        Question(
            "columns",
            worded(
                "Which column holds the {name}? The columns are: {columns}.",
                name=name,
                columns=columns,
            ),
        )
        for role, name in (("temperature", "heap's temperature"), ("date", "date"))
        if role not in roles
    ]


def _said(
    above: Sequence[Row], headings: Sequence[str], roles: Mapping[str, int], no_headings: bool
) -> tuple[str, ...]:
    said = []
    if above:
        said.append(
            worded("{number} lines above the headings were passed over.", number=len(above))
        )
    if no_headings:
        told = ", ".join(
            worded("{role} in {headings}", role=role, headings=headings[n])
            for role, n in roles.items()
        )
        said.append(
            worded(
                "The file has no headings; taken from what is in the columns: {told}.", told=told
            )
        )
    unused = [heading for n, heading in enumerate(headings) if n not in roles.values()]
    if unused:
        said.append(worded("Columns not used: {unused}.", unused=", ".join(unused)))
    return tuple(said)


def _temperature_unit(heading: str) -> TemperatureUnit | None:
    words = _plain(heading).split()
    celsius, fahrenheit = (any(w in words for w in unit) for unit in (_CELSIUS, _FAHRENHEIT))
    if celsius == fahrenheit:
        return None
    return TemperatureUnit.C if celsius else TemperatureUnit.F


def _length_unit(heading: str) -> str:
    words = _plain(heading).split()
    return next((unit for unit in _LENGTH_UNITS if unit in words), "")


def depth_m(text: str, unit: str) -> float:
    """Return a depth; `unit` is meant where none is written. [m]"""
    plain = text.strip().replace("″", " in").replace('"', " in")
    alone = re.fullmatch(r"[\d.,]+", plain)
    return parse_length_m(f"{plain} {unit}" if alone and unit else plain, what="Depth")
