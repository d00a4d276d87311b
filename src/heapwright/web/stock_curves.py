"""Draws how greens and browns go through the weeks: a band, a line, what heaps take, where it ends.

Knows places on the paper. Knows nothing of how the numbers come about.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from heapwright.sentences import Measure, Reader, Value, render_value, span, volume
from heapwright.wording import dated
from heapwright.workshop.stock_ahead_answer import ClassAhead, StockAhead

WIDTH, HEIGHT = 360.0, 184.0
_LEFT, _RIGHT, _TOP, _FOOT = 82.0, 8.0, 16.0, 34.0
#: The scale ends a little above the most, and at a litre where there is nothing.
_ROOM, _LEAST_M3 = 1.1, 0.001
_WEEKS_BETWEEN = 4
#: Names of months this far apart do not touch.
_LABEL_WEEKS = 13


@dataclass(frozen=True, slots=True)
class TakenDrawn:
    """What a heap takes, as a bar from the foot up."""

    x: float
    y: float
    height: float


@dataclass(frozen=True, slots=True)
class ClassPicture:
    """One class of stuff through the weeks.

    Attributes
    ----------
    key : str
    band, likely : str
        Paths: when little to much comes, and likely.
    taken : tuple of TakenDrawn
    out_x : float or None
        Where it is likely too little for a heap first.
    marks : tuple of (y, words)
    months : tuple of (x, words)

    """

    key: str
    band: str
    likely: str
    taken: tuple[TakenDrawn, ...]
    out_x: float | None
    marks: tuple[tuple[float, str], ...]
    months: tuple[tuple[float, str], ...]
    width: float = WIDTH
    height: float = HEIGHT
    left: float = _LEFT
    right: float = WIDTH - _RIGHT
    top: float = _TOP
    foot: float = HEIGHT - _FOOT


@dataclass(frozen=True, slots=True)
class StockRow:
    """A week of the table behind the pictures, volumes in the reader's units."""

    day: str
    there: tuple[str, ...]  # greens, browns
    taken: tuple[str, ...]  # "" for none


def class_picture(one: ClassAhead, answer: StockAhead, reader: Reader) -> ClassPicture:
    """Return the picture of a class."""
    weeks = len(one.there_m3)
    top_m3 = max(_LEAST_M3, _ROOM * max(*one.there_high_m3, *one.wanted_m3))
    across = (WIDTH - _LEFT - _RIGHT) / weeks
    up = (HEIGHT - _TOP - _FOOT) / top_m3
    foot = HEIGHT - _FOOT

    def x(week: float) -> float:
        return round(_LEFT + week * across, 1)

    def y(volume_m3: float) -> float:
        return round(foot - volume_m3 * up, 1)

    def stairs(values: Sequence[float]) -> list[tuple[float, float]]:
        return [(x(w + end), y(value)) for w, value in enumerate(values) for end in (0, 1)]

    band = [*stairs(one.there_high_m3), *reversed(stairs(one.there_low_m3))]
    out = None if one.runs_out is None else (one.runs_out - answer.first_day).days / 7
    return ClassPicture(
        key=one.key,
        band=_path(band, closed=True),
        likely=_path(stairs(one.there_m3)),
        taken=tuple(
            TakenDrawn(x(week + 0.5), y(taken), round(foot - y(taken), 1))
            for week, taken in enumerate(one.wanted_m3)
            if taken > 0.0
        ),
        out_x=None if out is None else x(out + 0.5),
        marks=tuple(
            (y(mark), _mark(mark, top_m3, reader)) for mark in (0.45 * top_m3, 0.9 * top_m3)
        ),
        months=tuple(
            (x(week), dated(answer.mondays[week], "d MMM"))
            for week in range(0, weeks - 4, _LABEL_WEEKS)
        ),
    )


def stock_rows(answer: StockAhead, reader: Reader) -> tuple[StockRow, ...]:
    """Return the rows of the table: every fourth week, and each in which a heap is built."""
    rows = []
    for week, monday in enumerate(answer.mondays):
        if week % _WEEKS_BETWEEN and not any(one.wanted_m3[week] > 0.0 for one in answer.classes):
            continue
        rows.append(
            StockRow(
                day=dated(monday, "d MMMM y"),
                there=tuple(
                    _range(one.there_low_m3[week], one.there_high_m3[week], reader)
                    for one in answer.classes
                ),
                taken=tuple(
                    _volume(one.wanted_m3[week], reader) if one.wanted_m3[week] > 0.0 else ""
                    for one in answer.classes
                ),
            )
        )
    return tuple(rows)


def _mark(volume_m3: float, top_m3: float, reader: Reader) -> str:
    """Return an amount of the scale, in the unit that suits its top."""
    return render_value(volume(volume_m3, like=top_m3), reader)


def _volume(volume_m3: float, reader: Reader) -> str:
    return render_value(Value(volume_m3, Measure.VOLUME), reader)


def _range(low_m3: float, high_m3: float, reader: Reader) -> str:
    if high_m3 < _LEAST_M3:
        return "0"
    return render_value(span(low_m3, high_m3, Measure.VOLUME), reader)


def _path(points: Sequence[tuple[float, float]], *, closed: bool = False) -> str:
    return "M" + "L".join(f"{x:g} {y:g}" for x, y in points) + ("Z" if closed else "")
