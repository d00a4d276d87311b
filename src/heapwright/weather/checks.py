"""Makes a clean hourly series of what a reader found, and says every thing it had to do.

Knows what weather can be (limits.csv) and what is done about missing hours (gaps.csv). Knows no
file format. Nothing is mended silently: each repair is one sentence in the notes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import WeatherProblem
from heapwright.tables import Estimate, parameter_table
from heapwright.weather import raw
from heapwright.weather.fill import fill_gaps, fill_whole_quantities
from heapwright.weather.raw import HOURS_A_YEAR, RawHours
from heapwright.weather.series import WeatherSeries
from heapwright.weather.units import OURS, as_stated
from heapwright.wording import worded

FloatArray = NDArray[np.float64]
Hours = NDArray[np.datetime64]

_PACKAGE = "heapwright.weather"
_WORDS = {
    raw.TEMPERATURE: "air temperature",
    raw.COLDEST: "the day's lowest temperature",
    raw.WARMEST: "the day's highest temperature",
    raw.DEW_POINT: "dew point",
    raw.HUMIDITY: "humidity",
    raw.WIND: "wind",
    raw.RAIN: "rain",
    raw.SUN: "sun",
}


@dataclass(frozen=True, slots=True)
class Stated:
    """Columns with their times and the units their file had."""

    stamps: Hours
    values: Mapping[str, FloatArray]
    units: Mapping[str, str]


def limits() -> Mapping[str, Estimate]:
    """Return the lowest and highest believable value of each quantity."""
    return parameter_table(_PACKAGE, "limits.csv")


def gap_rules() -> Mapping[str, Estimate]:
    """Return how long a gap may be and what is done about it."""
    return parameter_table(_PACKAGE, "gaps.csv")


def _refusal(reading: Stated, quantity: str, wrong: NDArray[np.bool_]) -> str:
    values = reading.values[quantity]
    worst = np.flatnonzero(wrong)[np.argmax(np.abs(values[wrong]))]
    when = f"{reading.stamps[worst]}".replace("T", " ")[:16]
    unit = reading.units.get(quantity, OURS[quantity])
    count = int(wrong.sum())
    rows = "1 value" if count == 1 else worded("{count} values", count=count)
    worst_of = "" if count == 1 else "the worst "
    return worded(
        "{rows} of {words} refused as impossible: {worst_of}{quantity} at {when} UTC; "
        "treated as missing.",
        rows=rows,
        words=_WORDS[quantity],
        worst_of=worst_of,
        quantity=as_stated(quantity, unit, float(values[worst])),
        when=when,
    )


def _refuse_impossible(
    reading: Stated, quantity: str, limit_id: str
) -> tuple[FloatArray, tuple[str, ...]]:
    values = reading.values[quantity]
    bound = limits()[limit_id]
    wrong = np.isfinite(values) & ((values < bound.low) | (values > bound.high))
    if not wrong.any():
        return values, ()
    note = _refusal(reading, quantity, wrong)
    if wrong.sum() > gap_rules()["share_refused"].typical * np.isfinite(values).sum():
        raise WeatherProblem(
            note,
            why="So many impossible values mean a wrong unit or a wrong column",
            instead="Check the units stated for the file",
            kept="Nothing was read.",
        )
    return np.where(wrong, np.nan, values), (note,)


def believable(
    reading: Stated, *, daily: bool = False
) -> tuple[dict[str, FloatArray], tuple[str, ...]]:
    """Return the columns with impossible values made missing, and a sentence for each kind.

    Raises
    ------
    WeatherProblem
        If so much of a column is impossible that its unit must be wrong.

    """
    kept: dict[str, FloatArray] = {}
    notes: tuple[str, ...] = ()
    for quantity in reading.values:
        limit_id = "rain_day_mm" if daily and quantity == raw.RAIN else quantity
        kept[quantity], said = _refuse_impossible(reading, quantity, limit_id)
        notes += said
    if raw.HUMIDITY in kept:
        kept[raw.HUMIDITY] = np.minimum(kept[raw.HUMIDITY], 1.0)
    return kept, notes


def _mean_of_known(values: FloatArray, group: NDArray[np.int64], groups: int) -> FloatArray:
    known = np.isfinite(values)
    count = np.bincount(group[known], minlength=groups)
    total = np.bincount(group[known], weights=values[known], minlength=groups)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)


def _without_repeats(reading: RawHours) -> tuple[RawHours, tuple[str, ...]]:
    """Return rows in order of time, the first of any with the same stamp."""
    notes: tuple[str, ...] = ()
    if (np.diff(reading.begins) < np.timedelta64(0, "s")).any():
        notes += ("Rows were out of order and have been put in order of time.",)
    stamps, first = np.unique(reading.begins, return_index=True)
    repeated = reading.begins.size - stamps.size
    if repeated:
        notes += (
            worded(
                "{repeated} rows repeat the time of another; the first of each was kept.",
                repeated=repeated,
            ),
        )
    values = {name: column[first] for name, column in reading.values.items()}
    return replace(reading, begins=stamps, values=values), notes


def _on_hourly_grid(reading: RawHours) -> tuple[Hours, dict[str, FloatArray]]:
    """Return every hour from the first to the last; several rows in one hour are averaged."""
    whole = reading.begins.astype("datetime64[h]")
    hours = np.arange(whole[0], whole[-1] + 1)
    group = (whole - whole[0]).astype(np.int64)
    means = {n: _mean_of_known(v, group, hours.size) for n, v in reading.values.items()}
    if raw.RAIN in reading.values and group.size > np.unique(group).size:
        rain = reading.values[raw.RAIN]
        counts = np.bincount(group[np.isfinite(rain)], minlength=hours.size)
        means[raw.RAIN] = means[raw.RAIN] * counts
    return hours, means


def _required(reading: RawHours) -> None:
    if reading.begins.size == 0:
        raise WeatherProblem(
            worded("There are no rows in {source}", source=reading.source), kept="Nothing was read."
        )
    air = reading.values.get(raw.TEMPERATURE)
    if air is None or not np.isfinite(air).any():
        raise WeatherProblem(
            worded("There is no air temperature in {source}", source=reading.source),
            why="A heap cannot be followed without it",
            instead="Name the column and its unit, such as temp_f in °F",
            kept="Nothing was read.",
        )


def _rain_of_a_year(columns: Mapping[str, FloatArray], source: str) -> None:
    """Refuse rain that adds up to more than falls anywhere: overlapping or mis-scaled amounts."""
    rain = columns.get(raw.RAIN)
    if rain is None or rain.size < HOURS_A_YEAR // 2:
        return
    a_year = float(np.nansum(rain)) * HOURS_A_YEAR / rain.size
    most = limits()["rain_year_mm"].high
    if a_year > most:
        raise WeatherProblem(
            worded(
                "The rain in {source} adds up to {a_year:,.0f} mm a year",
                source=source,
                a_year=a_year,
            ),
            why=worded(
                "Nowhere on Earth gets more than {most:,.0f} mm; the amounts overlap or their "
                "unit is wrong",
                most=most,
            ),
            instead="Leave the rain column out, or state its unit",
            kept="Nothing was read.",
        )


def _spacing(reading: RawHours) -> None:
    """Refuse rows that lie too far apart to be hours, before a grid is laid over them."""
    rules = gap_rules()
    steps_h = np.diff(reading.begins) / np.timedelta64(1, "h")
    if steps_h.size == 0:
        return
    usual, most = float(np.median(steps_h)), rules["rows_apart_h"].typical
    if usual > most:
        raise WeatherProblem(
            worded(
                "The rows of {source} lie {usual:,.6g} hours apart",
                source=reading.source,
                usual=usual,
            ),
            why=worded("Hours cannot be told from rows more than {most:g} hours apart", most=most),
            instead="For a row a day give the day's lowest and highest temperature in two columns",
            kept="Nothing was read.",
        )
    longest, allowed = float(steps_h.max()), rules["long_gap_h"].typical
    if longest > allowed + 1:
        at = str(reading.begins[int(np.argmax(steps_h))]).replace("T", " ")[:16]
        raise WeatherProblem(
            worded(
                "Rows are missing in {source} for {longest:,.0f} hours after {at} UTC",
                source=reading.source,
                longest=longest - 1,
                at=at,
            ),
            why=f"More than {allowed:.0f} hours cannot be filled honestly",
            instead="Give a file without that gap, or choose a climate and let it stand in",
            kept="Nothing was read.",
        )


def series_from_hours(reading: RawHours) -> WeatherSeries:
    """Return the clean series of what a reader found.

    Parameters
    ----------
    reading : RawHours
        Rows in any order, with NaN where nothing was seen.

    Returns
    -------
    WeatherSeries
        Every hour from the first to the last, no gaps, with a note for each repair.

    Raises
    ------
    WeatherProblem
        If there is no temperature, a gap is too long, or a column is mostly impossible.

    """
    _required(reading)
    ordered, said_order = _without_repeats(reading)
    _spacing(ordered)
    kept, said_limits = believable(Stated(ordered.begins, ordered.values, ordered.units))
    hours, columns = _on_hourly_grid(replace(ordered, values=kept))
    _rain_of_a_year(columns, reading.source)
    rules = gap_rules()
    if not np.isfinite(columns[raw.TEMPERATURE]).any():
        raise WeatherProblem(
            worded("There is no believable air temperature in {source}", source=reading.source),
            kept="Nothing was read.",
        )
    columns, said_gaps = fill_gaps(columns, rules, reading.source)
    columns, said_whole = fill_whole_quantities(hours, columns, reading.place, rules)
    return WeatherSeries(
        start=hours[0].astype("datetime64[s]").item().replace(tzinfo=UTC),
        temperature_c=columns[raw.TEMPERATURE],
        relative_humidity=columns[raw.HUMIDITY],
        wind_m_s=columns[raw.WIND],
        rain_mm=columns[raw.RAIN],
        sun_w_m2=columns[raw.SUN],
        source=reading.source,
        notes=reading.notes + said_order + said_limits + said_gaps + said_whole,
    )
