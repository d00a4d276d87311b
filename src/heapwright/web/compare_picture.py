"""Draws heaps side by side: one small picture each, a bar a day, all begun at the building day.

Knows places on the paper; all pictures share both scales so that they compare by eye. Knows
nothing of what a heap was made of or what worked.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from heapwright.quantities import temperature_in
from heapwright.sentences import Reader
from heapwright.web.chart import LETTERS, letters_of, said_together
from heapwright.web.heat import heat_step
from heapwright.workshop.compare_answer import Comparison, DayHeat, DoneOn, HeapCompared

WIDTH, HEIGHT = 340.0, 132.0
LEFT, RIGHT, TOP, FOOT = 36.0, 6.0, 22.0, 24.0
#: Ends of the upright scale unless something lies beyond. [°C]
_COLDEST_C, _HOTTEST_C = 10.0, 70.0
#: Shortest and longest time that is drawn, and the days marked below. [d]
_LEAST_DAYS, _MOST_DAYS = 14, 120
_TICKS = (1, 2, 7, 14, 28)
_MOST_TICKS = 6
_LEAST_APART = 12.0


@dataclass(frozen=True, slots=True)
class BarDrawn:
    """One day's hottest."""

    x: float
    y: float
    width: float
    height: float
    heat: int  # step of the heat scale
    is_read: bool


@dataclass(frozen=True, slots=True)
class HeapDrawn:
    """One heap's small picture."""

    heap: HeapCompared
    bars: tuple[BarDrawn, ...]
    letters: tuple[tuple[float, str], ...]
    end_x: float | None  # where it was used up; None beyond the picture or while it lies


@dataclass(frozen=True, slots=True)
class ComparePicture:
    """Everything that is drawn, for an SVG of `WIDTH` by `HEIGHT` each."""

    heaps: tuple[HeapDrawn, ...]
    limit_y: float
    degrees: tuple[tuple[float, str], ...]  # y, number
    days: tuple[tuple[float, int], ...]  # x, day
    foot_y: float
    letters: tuple[tuple[str, str], ...]  # those that stand on it, with their words
    left_out: int  # days with heat beyond the picture's end


class _Paper:
    """Where days and degrees lie, the same for every heap."""

    def __init__(self, answer: Comparison) -> None:
        known = [one.day for heap in answer.heaps for one in heap.days]
        wanted = max(known, default=0) + 2
        self.days = min(_MOST_DAYS, max(_LEAST_DAYS, wanted))
        heat = [one.hottest_c for heap in answer.heaps for one in heap.days]
        self.low, self.high = min([_COLDEST_C, *heat]), max([_HOTTEST_C, *heat])

    def x(self, day: float) -> float:
        return round(LEFT + day / self.days * (WIDTH - LEFT - RIGHT), 1)

    def y(self, celsius: float) -> float:
        share = (celsius - self.low) / (self.high - self.low)
        return round(HEIGHT - FOOT - share * (HEIGHT - FOOT - TOP), 1)


def compare_picture(answer: Comparison, reader: Reader) -> ComparePicture:
    """Return the small pictures of every heap compared."""
    paper = _Paper(answer)
    heaps = tuple(_heap(heap, paper) for heap in answer.heaps)
    stand = {letter for one in heaps for _, text in one.letters for letter in text}
    return ComparePicture(
        heaps=heaps,
        limit_y=paper.y(answer.hot_c),
        degrees=tuple(_degrees(paper, reader)),
        days=tuple(_days(paper)),
        foot_y=HEIGHT - FOOT,
        letters=tuple(told for told in LETTERS.values() if told[0] in stand),
        left_out=sum(one.day >= paper.days for heap in answer.heaps for one in heap.days),
    )


def _heap(heap: HeapCompared, paper: _Paper) -> HeapDrawn:
    end = (heap.until - heap.built_at).total_seconds() / 86_400 if heap.is_over else None
    return HeapDrawn(
        heap=heap,
        bars=tuple(_bar(one, paper) for one in heap.days if one.day < paper.days),
        letters=tuple(_letters(heap.done, paper)),
        end_x=None if end is None or end > paper.days else paper.x(end),
    )


def _bar(one: DayHeat, paper: _Paper) -> BarDrawn:
    x, top, foot = paper.x(one.day), paper.y(one.hottest_c), HEIGHT - FOOT
    return BarDrawn(
        x=x,
        y=top,
        width=round(max(0.8, paper.x(one.day + 1) - x - 0.4), 1),
        height=round(max(1.0, foot - top), 1),
        heat=heat_step(one.hottest_c),
        is_read=one.is_read,
    )


def _letters(done: Iterable[DoneOn], paper: _Paper) -> Iterable[tuple[float, str]]:
    marks = [
        (paper.x(one.day), letters_of(one.kind, with_water=one.with_water))
        for one in done
        if one.day < paper.days
    ]
    return said_together(marks, _LEAST_APART)


def _degrees(paper: _Paper, reader: Reader) -> Iterable[tuple[float, str]]:
    unit = reader.units.temperature_unit
    step = 40 if unit == "F" else 20
    low, high = (temperature_in(end, unit) for end in (paper.low, paper.high))
    for value in range(int(-(-low // step) * step), int(high) + 1, step):
        share = (value - low) / (high - low)
        yield round(HEIGHT - FOOT - share * (HEIGHT - FOOT - TOP), 1), f"{value}"


def _days(paper: _Paper) -> Iterable[tuple[float, int]]:
    step = next((one for one in _TICKS if paper.days / one <= _MOST_TICKS), _TICKS[-1])
    for day in range(0, paper.days, step):
        yield paper.x(day), day
