"""Reads the two open forms of typical-year files: EPW (EnergyPlus weather) and TMY3.

Knows their headings, hour counting, missing codes and how they report rain. What they bring is
unchecked (see `checks`). Knows nothing of where files lie.

References
----------
[1] US Department of Energy, EnergyPlus, "Auxiliary Programs": weather file (EPW) data dictionary,
    with the missing value of each field.
[2] Wilcox, S., Marion, W., "Users Manual for TMY3 Data Sets", NREL/TP-581-43156, 2008: table 1-2;
    missing is -9900.

"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import UnreadableFile, WeatherProblem
from heapwright.weather import raw
from heapwright.weather.columns import csv_rows
from heapwright.weather.rain import looks_like_tenths_of_mm, unfold_rain
from heapwright.weather.raw import HOURS_A_DAY, Place, RawHours
from heapwright.weather.stamps import read_stamps
from heapwright.wording import worded

FloatArray = NDArray[np.float64]

#: EPW fields, counted from 0, with the value that means "missing" [1].
EPW_FIELDS = {
    raw.TEMPERATURE: (6, 99.9),
    raw.DEW_POINT: (7, 99.9),
    raw.HUMIDITY: (8, 999.0),
    raw.SUN: (13, 9999.0),
    raw.WIND: (21, 999.0),
    raw.RAIN: (33, 999.0),
}
EPW_RAIN_PERIOD = (34, 99.0)
_EPW_LEAST_FIELDS = 22
#: TMY3 columns [2].
TMY3_COLUMNS = {
    raw.TEMPERATURE: "Dry-bulb (C)",
    raw.DEW_POINT: "Dew-point (C)",
    raw.HUMIDITY: "RHum (%)",
    raw.SUN: "GHI (W/m^2)",
    raw.WIND: "Wspd (m/s)",
    raw.RAIN: "Lprecip depth (mm)",
}
TMY3_RAIN_PERIOD = "Lprecip quantity (hr)"
TMY3_MISSING = -9900.0
#: A rain period of 99 hours means that it is not known [2].
TMY3_PERIOD_UNKNOWN = 99.0
#: Words in an EPW heading that mark a typical year rather than a year that was.
_TYPICAL_WORDS = ("TMY", "IWEC", "CWEC", "SWEC", "RMY", "TRY", "WYEC", "CZ", "MSI", "ISHRAE")


def is_epw(text: str) -> bool:
    """Return whether text begins as an EPW file does."""
    return text[:9].upper() == "LOCATION,"


def is_tmy3(text: str) -> bool:
    """Return whether text has the two heading lines of a TMY3 file."""
    return "\nDate (MM/DD/YYYY),Time (HH:MM)," in text[:400].replace("\r", "")


def _floats(rows: Sequence[Sequence[str]], place: int, missing: float, name: str) -> FloatArray:
    try:
        found = np.array([float(row[place]) if len(row) > place else missing for row in rows])
    except ValueError as problem:
        wrong = next(i for i, row in enumerate(rows, 1) if not _is_number(row[place]))
        raise WeatherProblem(
            worded(
                'Hour {wrong}, {name}: "{rows}" is not a number',
                wrong=wrong,
                name=name.replace("_", " "),
                rows=rows[wrong - 1][place],
            ),
            instead="Mend that cell, or fetch the file again",
            kept="Nothing was read.",
        ) from problem
    return np.where(np.isclose(found, missing), np.nan, found)


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def _damaged(kind: str, why: str) -> UnreadableFile:
    return UnreadableFile(
        worded("The file begins as {kind} but cannot be read as one", kind=kind),
        why=why,
        instead="Fetch it again from where it came",
        kept="Nothing was read.",
    )


def _epw_place(heading: Sequence[str]) -> Place:
    try:
        latitude, longitude, zone, height = (float(heading[i]) for i in (6, 7, 8, 9))
    except (ValueError, IndexError) as problem:
        raise _damaged("an EPW weather file", "Its LOCATION line is not whole") from problem
    if not abs(zone) < HOURS_A_DAY:
        raise _damaged(
            "an EPW weather file", worded("Its time zone is {zone:g} hours from UTC", zone=zone)
        )
    town, region, country = (part.strip() for part in heading[1:4])
    title = ", ".join(part for part in (town, region, country) if part not in ("", "-"))
    return Place(title, latitude, longitude, height, zone)


def _epw_rows(text: str) -> tuple[list[str], list[list[str]]]:
    lines = csv_rows(text)
    first = next((i for i, row in enumerate(lines) if row[:1] == ["DATA PERIODS"]), None)
    if first is None:
        raise _damaged("an EPW weather file", "It has no DATA PERIODS line")
    per_hour = lines[first][2].strip() if len(lines[first]) > 2 else ""
    if per_hour != "1":
        raise _damaged(
            "an EPW weather file",
            worded('It has "{per_hour}" rows an hour; 1 is understood', per_hour=per_hour),
        )
    rows = [row for row in lines[first + 1 :] if row]
    if not rows or any(len(row) < _EPW_LEAST_FIELDS for row in rows):
        raise _damaged("an EPW weather file", "Rows are missing or cut short")
    return lines[0], rows


def _fixed_zone(offset_h: float) -> str:
    minutes = round(abs(offset_h) * 60)
    return f"UTC{'-' if offset_h < 0 else '+'}{minutes // 60:02d}:{minutes % 60:02d}"


def _rain_in_hours(
    values: dict[str, FloatArray], period_h: FloatArray, notes: list[str]
) -> dict[str, FloatArray]:
    """Return the columns with rain in hours, or without rain if none was ever reported."""
    amounts = values.pop(raw.RAIN)
    if not np.isfinite(amounts).any():
        return values
    if looks_like_tenths_of_mm(amounts):
        amounts = amounts / 10.0
        notes.append("Rain reads as hundredths of an inch in tenths of a millimetre; taken so.")
    if (period_h[np.isfinite(amounts) & np.isfinite(period_h)] > 1).any():
        notes.append("Rain given over several hours was spread over them, each drop counted once.")
    values[raw.RAIN] = unfold_rain(amounts, period_h)
    return values


def read_epw(text: str, *, typical: bool | None = None) -> RawHours:
    """Return the hours of an EPW file: local standard time, hour ending, place from its heading.

    Parameters
    ----------
    text : str
        The file.
    typical : bool, optional
        Whether the years in it mean nothing; by default told from the heading and from whether
        the months come from several years.

    Returns
    -------
    RawHours
        In UTC.

    Raises
    ------
    UnreadableFile, WeatherProblem
        If it is cut short or a cell is not a number.

    """
    heading, rows = _epw_rows(text)
    place = _epw_place(heading)
    origin = heading[4].strip() if len(heading) > 4 else ""
    if typical is None:
        several = len({row[0] for row in rows}) > 1
        typical = several or any(word in origin.upper() for word in _TYPICAL_WORDS)
    begins = read_stamps(
        [f"{row[0]}-{row[1]}-{row[2]} {int(row[3]):02d}:00" for row in _whole_stamps(rows)],
        zone=_fixed_zone(place.winter_offset_h),
        ending=True,
        typical=typical,
    )
    values = {q: _floats(rows, i, missing, q) for q, (i, missing) in EPW_FIELDS.items()}
    values[raw.HUMIDITY] = values[raw.HUMIDITY] / 100.0
    notes: list[str] = []
    values = _rain_in_hours(values, _floats(rows, *EPW_RAIN_PERIOD, "rain period"), notes)
    what = worded("usual year ({origin})", origin=origin) if typical else f"{rows[0][0]} ({origin})"
    return RawHours(
        begins=begins,
        values=values,
        source=f"{place.title}, {what}",
        place=place,
        notes=tuple(notes),
        units={raw.HUMIDITY: "%"},
        typical=typical,
    )


def _whole_stamps(rows: list[list[str]]) -> list[list[str]]:
    for number, row in enumerate(rows, 1):
        if not all(part.strip().isdigit() for part in row[:4]):
            raise _damaged(
                "an EPW weather file", worded("Hour {number} has no date and hour", number=number)
            )
    return rows


def _tmy3_place(heading: Sequence[str]) -> Place:
    try:
        zone, latitude, longitude, height = (float(part) for part in heading[3:7])
    except ValueError as problem:
        raise _damaged("a TMY3 file", "Its first line is not whole") from problem
    if not abs(zone) < HOURS_A_DAY:
        raise _damaged("a TMY3 file", worded("Its time zone is {zone:g} hours from UTC", zone=zone))
    title = f"{heading[1].strip().title()}, {heading[2].strip()}"
    return Place(title, latitude, longitude, height, zone)


def read_tmy3(text: str) -> RawHours:
    """Return the hours of a full TMY3 file: local standard time, hour ending, -9900 missing.

    Months come from several years; they are laid on one. See `read_epw` for errors.
    """
    lines = [row for row in csv_rows(text) if row]
    place, header, rows = _tmy3_place(lines[0]), lines[1], lines[2:]
    wanted = [*TMY3_COLUMNS.values(), TMY3_RAIN_PERIOD]
    if absent := [name for name in wanted if name not in header]:
        raise _damaged("a TMY3 file", worded('It has no column "{absent}"', absent=absent[0]))
    if not rows or any(len(row) < 2 for row in rows):
        raise _damaged("a TMY3 file", "Rows are missing or cut short")
    begins = read_stamps(
        [f"{row[0]} {row[1]}" for row in rows],
        zone=_fixed_zone(place.winter_offset_h),
        ending=True,
        typical=True,
    )
    values = {
        q: _floats(rows, header.index(name), TMY3_MISSING, q) for q, name in TMY3_COLUMNS.items()
    }
    values[raw.HUMIDITY] = values[raw.HUMIDITY] / 100.0
    period = _floats(rows, header.index(TMY3_RAIN_PERIOD), TMY3_MISSING, "rain period")
    notes: list[str] = []
    values = _rain_in_hours(values, np.where(period >= TMY3_PERIOD_UNKNOWN, np.nan, period), notes)
    years = sorted({row[0].rpartition("/")[2] for row in rows})
    return RawHours(
        begins=begins,
        values=values,
        source=worded(
            "{title}, usual year of {years}-{years_2} (TMY3)",
            title=place.title,
            years=years[0],
            years_2=years[-1],
        ),
        place=place,
        notes=tuple(notes),
        units={raw.HUMIDITY: "%"},
        typical=True,
    )
