"""Reads a weather table with named columns and stated units: one row an hour, or one row a day.

Knows CSV text, separators, decimal commas and the words for "missing". Knows neither EPW nor
TMY3 (see `typical_year_files`), nor what is believable (see `checks`).
"""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import UnreadableFile, WeatherProblem
from heapwright.weather import raw
from heapwright.weather.rain import unfold_rain
from heapwright.weather.raw import HOURS_A_DAY, Place, RawDays, RawHours
from heapwright.weather.stamps import read_stamps
from heapwright.weather.units import is_energy, to_si
from heapwright.wording import worded

FloatArray = NDArray[np.float64]

#: Ways files write "nothing was measured" (seen in station files; from memory).
MISSING_WORDS = frozenset({"", "na", "n/a", "nan", "null", "none", "-", "--", "m", "missing"})
#: How stations write rain too little to measure; counted as none.
TRACE_WORDS = frozenset({"t", "tr", "trace"})
_THOUSANDS = re.compile(r"-?\d{1,3}(,\d{3})+(\.\d+)?")
_SEPARATORS = (",", ";", "\t", "|")


@dataclass(frozen=True, slots=True)
class ColumnPlan:
    """Which column is what, in which unit, and how the file counts time.

    Attributes
    ----------
    time : tuple of str
        Name of the time column, or of the date and the clock column.
    quantities : mapping of str to (str, str)
        Quantity of `raw` to (column, unit), such as {"wind_m_s": ("wind_mph", "mph")}.
    zone : str
        "UTC", "UTC-05:00" (winter time all year) or a zone's name.
    ending : bool
        Stamps name the end of their hour.
    typical : bool
        A typical year: the years in the file mean nothing.
    rain_period : str
        Column with the hours a rain amount was gathered over, if the file has one.

    """

    time: tuple[str, ...]
    quantities: Mapping[str, tuple[str, str]]
    zone: str = "UTC"
    ending: bool = False
    typical: bool = False
    rain_period: str = ""
    missing: frozenset[str] = field(default=frozenset())


def csv_rows(text: str, separator: str = ",") -> list[list[str]]:
    """Return the cells of a text.

    Raises
    ------
    UnreadableFile
        If a quote never closes or a cell is endless.

    """
    try:
        return list(csv.reader(io.StringIO(text), delimiter=separator))
    except csv.Error as problem:
        raise UnreadableFile(
            "The file cannot be taken apart into cells",
            why="A cell in it has no end; perhaps a quotation mark is never closed",
            instead="Save it again as CSV",
            kept="Nothing was read.",
        ) from problem


def split_table(text: str) -> tuple[list[str], list[list[str]], str]:
    """Return header, rows and separator of a table in text.

    Raises
    ------
    UnreadableFile
        If there is no table in it.

    """
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    if len(lines) < 2:
        raise UnreadableFile(
            "The file holds no table",
            why="A header line and at least one row are needed",
            kept="Nothing was read.",
        )
    separator = max(_SEPARATORS, key=lines[0].count)
    rows = csv_rows("\n".join(lines), separator)
    header = [name.strip() for name in rows[0]]
    return header, rows[1:], separator


def _column(header: Sequence[str], rows: Sequence[Sequence[str]], name: str) -> list[str]:
    if name not in header:
        raise WeatherProblem(
            worded('There is no column "{name}" in the file', name=name),
            instead=worded("Its columns are: {header}", header=", ".join(header)),
            kept="Nothing was read.",
        )
    place = header.index(name)
    return [row[place].strip() if place < len(row) else "" for row in rows]


def _number(text: str, name: str, row: int, decimal_comma: bool, missing: frozenset[str]) -> float:
    if text.casefold() in MISSING_WORDS or text in missing:
        return math.nan
    plain = text.replace("\N{MINUS SIGN}", "-")
    if decimal_comma:
        plain = plain.replace(",", ".")
    elif _THOUSANDS.fullmatch(plain):
        plain = plain.replace(",", "")
    try:
        return float(plain)
    except ValueError as problem:
        raise WeatherProblem(
            worded(
                'Row {row}, column "{name}": "{text}" is not a number',
                row=row,
                name=name,
                text=text,
            ),
            instead="Leave the cell empty where nothing was measured",
            kept="Nothing was read.",
        ) from problem


def _numbers(
    texts: Sequence[str], name: str, separator: str, missing: frozenset[str]
) -> FloatArray:
    if not missing:
        try:  # the usual case, a column of plain numbers, is read in one go
            return np.array([text or "nan" for text in texts], dtype=np.float64)
        except ValueError:
            pass  # something else stands in it: look at each cell
    comma = separator != "," and any("," in text for text in texts)
    return np.array([_number(t, name, i + 1, comma, missing) for i, t in enumerate(texts)])


def column_numbers(
    header: Sequence[str],
    rows: Sequence[Sequence[str]],
    name: str,
    separator: str,
    missing: frozenset[str] = frozenset(),
) -> FloatArray:
    """Return one column as numbers, NaN where nothing stands.

    Raises
    ------
    WeatherProblem
        If the column or a number is not one.

    """
    return _numbers(_column(header, rows, name), name, separator, missing)


def _values(
    header: Sequence[str], rows: Sequence[Sequence[str]], separator: str, plan: ColumnPlan
) -> dict[str, FloatArray]:
    found = {}
    for quantity, (name, unit) in plan.quantities.items():
        texts = _column(header, rows, name)
        if quantity == raw.RAIN:
            texts = ["0" if text.casefold() in TRACE_WORDS else text for text in texts]
        numbers = _numbers(texts, name, separator, plan.missing)
        found[quantity] = to_si(quantity, unit, numbers)
    return found


def time_texts(header: Sequence[str], rows: Sequence[Sequence[str]], plan: ColumnPlan) -> list[str]:
    """Return each row's time as written, date and clock joined."""
    parts = [_column(header, rows, name) for name in plan.time]
    return [" ".join(pieces) for pieces in zip(*parts, strict=True)]


def read_hours(text: str, plan: ColumnPlan, *, source: str, place: Place | None = None) -> RawHours:
    """Return the hours of a table with one row an hour, in SI and UTC, unchecked.

    Parameters
    ----------
    text : str
        The file.
    plan : ColumnPlan
        Which column is what.
    source : str
        Words for the person.
    place : Place, optional
        Where it was seen; needed later if the file has no sun.

    Raises
    ------
    UnreadableFile, WeatherProblem
        If it is no table, a column or unit is unknown, or a cell is not a number.

    """
    header, rows, separator = split_table(text)
    times = time_texts(header, rows, plan)
    begins = read_stamps(times, zone=plan.zone, ending=plan.ending, typical=plan.typical)
    values = _values(header, rows, separator, plan)
    notes: tuple[str, ...] = ()
    if plan.rain_period:
        periods = column_numbers(header, rows, plan.rain_period, separator, plan.missing)
        values[raw.RAIN] = unfold_rain(values[raw.RAIN], periods)
        notes += ("Rain given over several hours was spread over them, each drop counted once.",)
    return RawHours(
        begins=begins,
        values=values,
        source=source,
        place=place,
        notes=notes,
        units=_units(plan),
        typical=plan.typical,
    )


def read_days(text: str, plan: ColumnPlan, *, source: str, place: Place | None = None) -> RawDays:
    """Return the days of a table with one row a local calendar day, in SI, unchecked.

    Rain is the day's total, sun the day's energy in the stated unit divided over 24 hours, wind
    the day's mean. See `read_hours` for parameters and errors.
    """
    header, rows, separator = split_table(text)
    stamps = read_stamps(time_texts(header, rows, plan), zone="UTC", typical=plan.typical)
    values = _values(header, rows, separator, plan)
    if raw.SUN in values and is_energy(plan.quantities[raw.SUN][1]):
        values[raw.SUN] = values[raw.SUN] / HOURS_A_DAY
    return RawDays(
        days=stamps.astype("datetime64[D]"),
        values=values,
        source=source,
        place=place,
        units=_units(plan),
        typical=plan.typical,
    )


def _units(plan: ColumnPlan) -> dict[str, str]:
    return {quantity: unit for quantity, (_, unit) in plan.quantities.items()}
