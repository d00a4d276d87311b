"""Draws temperatures against days with letters, for a terminal.

Knows how hours become columns and degrees become rows. The figures told beside it say the same, so
nothing is lost to who cannot see it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from math import ceil, floor

import numpy as np
from numpy.typing import NDArray

from heapwright.cli import screen
from heapwright.quantities import UnitSystem, temperature_in
from heapwright.validation.measures import HOT_C

FloatArray = NDArray[np.float64]
HOURS_A_DAY = 24
MOST_COLUMNS, LEAST_COLUMNS = 72, 20
ROWS = 12
_BESIDE = 8  # what the degrees at the left take up
#: Degrees from one row to the next, in the reader's unit: the first that is wide enough.
_STEPS = (1, 2, 5, 10, 20, 50)
_DAY_STEPS = (1, 2, 5, 7, 14, 30, 60, 90)


@dataclass(frozen=True, slots=True)
class Picture:
    """What is drawn: lines of hourly temperatures by their letter, points, and signs below.

    Attributes
    ----------
    lines : mapping of letter -> array, shape (hours+1,)
        Later ones are drawn over earlier ones. [°C]
    points : sequence of (day, temperature, letter)
        [days, °C]
    signs : sequence of (day, letter)
        What was done, below the days' line.

    """

    lines: Mapping[str, FloatArray]
    points: Sequence[tuple[float, float, str]] = ()
    signs: Sequence[tuple[float, str]] = field(default=())


def lines(picture: Picture, system: UnitSystem) -> Iterator[str]:
    """Yield the picture's lines, from the hottest row to the days below."""
    unit = system.temperature_unit
    hours = max(values.size for values in picture.lines.values()) - 1
    columns = min(MOST_COLUMNS, max(LEAST_COLUMNS, screen.width() - _BESIDE))
    drawn = {
        letter: np.array([temperature_in(c, unit) for c in _by_column(values, hours, columns)])
        for letter, values in picture.lines.items()
    }
    points = [(day, temperature_in(c, unit), letter) for day, c, letter in picture.points]
    hot = temperature_in(HOT_C, unit)
    everything = np.concatenate([*drawn.values(), [value for _, value, _ in points], [hot]])
    low, step, rows = _scale(float(np.nanmin(everything)), float(np.nanmax(everything)))
    paper = [[" "] * columns for _ in range(rows)]
    paper[_row(hot, low, step, rows)] = ["-"] * columns
    for letter, values in drawn.items():
        for column in np.flatnonzero(np.isfinite(values)):
            paper[_row(float(values[column]), low, step, rows)][column] = letter
    for day, value, letter in points:
        paper[_row(value, low, step, rows)][_column(day, hours, columns)] = letter
    for place in range(rows - 1, -1, -1):
        label = f"{low + step * place:.0f}" if place % 2 == 0 else ""
        yield f"{label:>5} |{''.join(paper[place])}".rstrip()
    yield from _below(picture.signs, hours, columns)


def _by_column(values: FloatArray, hours: int, columns: int) -> FloatArray:
    """Return the mean of each column's hours; not a number where the line has ended."""
    out = np.full(columns, np.nan)
    for column in range(columns):
        first = round(column * hours / columns)
        part = values[first : max(first + 1, round((column + 1) * hours / columns))]
        if part.size:
            out[column] = part.mean()
    return out


def _scale(lowest: float, highest: float) -> tuple[float, float, int]:
    """Return the lowest row's value, the step between rows, and how many there are."""
    step = next((s for s in _STEPS if (highest - lowest) / s <= ROWS), _STEPS[-1])
    low = step * floor(lowest / step)
    return float(low), float(step), ceil((highest - low) / step) + 1


def _row(value: float, low: float, step: float, rows: int) -> int:
    return min(rows - 1, max(0, round((value - low) / step)))


def _column(day: float, hours: int, columns: int) -> int:
    return min(columns - 1, max(0, int(day * HOURS_A_DAY * columns / max(hours, 1))))


def _below(signs: Sequence[tuple[float, str]], hours: int, columns: int) -> Iterator[str]:
    ruler, days = ["-"] * columns, [" "] * (columns + 4)
    last = hours / HOURS_A_DAY
    every = next((s for s in _DAY_STEPS if last / s <= columns / 8), _DAY_STEPS[-1])
    for marked in range(0, int(last) + 1, every):
        place = _column(marked, hours, columns)
        if marked * HOURS_A_DAY < hours or marked == 0:
            ruler[place] = "+"
            days[place : place + len(str(marked))] = list(str(marked))
    for day, letter in signs:
        ruler[_column(day, hours, columns)] = letter
    yield f"{'':>5} +{''.join(ruler)}"
    yield f"{'days':>5}  {''.join(days)}".rstrip()
