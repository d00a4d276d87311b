"""Draws compost against what the beds want, summed up through the year: two stairs and a band.

Knows places on the paper. Knows nothing of plans.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from heapwright.quantities import UnitSystem, from_si
from heapwright.sentences import Reader, render_value, volume
from heapwright.web.year_picture import WHOLE_LITRE_M3
from heapwright.wording import dated
from heapwright.workshop.year_answer import YearAnswer

WIDTH, HEIGHT = 360.0, 232.0
_LEFT, _RIGHT, _TOP, _FOOT = 64.0, 10.0, 14.0, 34.0
#: So many marks on the scale of amounts.
_MARKS = 4
#: A date below the curves each so many weeks.
_MONTH_WEEKS = 13
_LITRES = 1000.0


@dataclass(frozen=True, slots=True)
class CurvesPicture:
    """Everything the picture of the curves is put together from."""

    band: str
    likely: str
    wanted: str
    marks: tuple[tuple[float, str], ...]  # y, amount
    months: tuple[tuple[float, str], ...]  # x, the month
    left: float = _LEFT
    right: float = WIDTH - _RIGHT
    foot: float = HEIGHT - _FOOT
    top: float = _TOP
    width: float = WIDTH
    height: float = HEIGHT


@dataclass(frozen=True, slots=True)
class CurveRow:
    """One row of the table behind the picture: a week in which something changes."""

    week: int
    sure: str
    likely: str
    high: str
    wanted: str
    is_enough: bool


def curves_picture(answer: YearAnswer, reader: Reader) -> CurvesPicture:
    """Return the curves of compost there and compost wanted."""
    curves = answer.curves
    weeks = len(curves.wanted) - 1
    top_m3 = _round_up(max(max(curves.there_high), max(curves.wanted)), reader)
    across = (WIDTH - _LEFT - _RIGHT) / weeks
    up = (HEIGHT - _TOP - _FOOT) / top_m3

    def x(week: float) -> float:
        return round(_LEFT + week * across, 1)

    def y(volume_m3: float) -> float:
        return round(HEIGHT - _FOOT - volume_m3 * up, 1)

    def stairs(values: Sequence[float]) -> list[tuple[float, float]]:
        points = [(x(0), y(values[0]))]
        for week in range(1, len(values)):
            if values[week] != values[week - 1]:
                points += [(x(week), y(values[week - 1])), (x(week), y(values[week]))]
        return [*points, (x(weeks), y(values[-1]))]

    band = [*stairs(curves.there_high), *reversed(stairs(curves.there_sure))]
    months = []
    first = answer.first_day
    for week in range(0, weeks - 8, _MONTH_WEEKS):
        day = first + timedelta(weeks=week)
        months.append((x(week), dated(day, "d MMM")))
    return CurvesPicture(
        band=_path(band) + "Z",
        likely=_path(stairs(curves.there_likely)),
        wanted=_path(stairs(curves.wanted)),
        marks=tuple(
            (y(top_m3 * n / _MARKS), render_value(volume(top_m3 * n / _MARKS, like=top_m3), reader))
            for n in range(_MARKS + 1)
        ),
        months=tuple(months),
    )


def _round_up(volume_m3: float, reader: Reader) -> float:
    """Return a top of the scale whose quarters are round numbers in the reader's units. [m³]"""
    unit = "ft3" if reader.units is UnitSystem.US else "L"
    one_m3 = from_si(1.0, unit)
    needed = max(volume_m3, 0.01) * one_m3 / _MARKS
    power = 10.0 ** math.floor(math.log10(needed))
    step = next(n * power for n in (1.0, 2.0, 2.5, 5.0, 10.0) if n * power >= needed)
    return _MARKS * step / one_m3


def _path(points: Sequence[tuple[float, float]]) -> str:
    return "M" + "L".join(f"{x:g} {y:g}" for x, y in points)


def curve_rows(answer: YearAnswer, reader: Reader) -> tuple[CurveRow, ...]:
    """Return the numbers behind the curves: the first week and each in which one changes."""
    curves = answer.curves
    series = (curves.there_sure, curves.there_likely, curves.there_high, curves.wanted)
    most = max(curves.there_high[-1], curves.wanted[-1])
    rows = []
    for week, values in enumerate(zip(*series, strict=True)):
        if week and values == tuple(one[week - 1] for one in series):
            continue
        sure, likely, high, wanted = (
            render_value(volume(one, like=most), reader) for one in values
        )
        is_enough = values[0] >= values[3] - WHOLE_LITRE_M3
        rows.append(CurveRow(week, sure, likely, high, wanted, is_enough))
    return tuple(rows)
