"""Draws a heap's story for paper: its curve with readings, turns and rain, and a row of cuts.

Knows places on the paper. The curve here is a still picture; the one to move about in is `chart`'s.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo

import numpy as np

from heapwright.quantities import temperature_in
from heapwright.sentences import Reader
from heapwright.web import drawing
from heapwright.web.chart import DayRow, marks_of, said_together
from heapwright.web.drawing import BinDrawn, Heap, Paper, Section
from heapwright.web.heat import heat_step
from heapwright.web.scales import Scale, heat_scale
from heapwright.workshop.answers import CourseFrame, Forecast
from heapwright.workshop.batch_story_answer import BatchStory

WIDTH, HEIGHT = 720.0, 270.0
LEFT, RIGHT, TOP, FOOT = 46.0, 10.0, 26.0, 30.0
#: At most so many points on a line, and the tallest bar of rain.
_MOST_POINTS, _RAIN_TALL, _RAIN_FULL_MM = 240, 40.0, 25.0
#: Ends of the upright scale when nothing lies beyond them. [°C]
_COLDEST_C, _HOTTEST_C = 10.0, 70.0
_LEAST_APART = 16.0
_TICK_DAYS = (1, 2, 7, 14, 28, 56, 112)
_MOST_TICKS = 12


@dataclass(frozen=True, slots=True)
class StoryCurve:
    """The curve of a heap's life, ready for an SVG of `WIDTH` by `HEIGHT`."""

    band: str  # points of a polygon, "" without a model
    likely: str
    readings: tuple[tuple[float, float, int], ...]  # x, y, step of the heat scale
    letters: tuple[tuple[float, str], ...]
    rain: tuple[tuple[float, float, float], ...]  # x, width, height
    limit_y: float
    now_x: float
    degrees: tuple[tuple[float, str], ...]  # y, number
    days: tuple[tuple[float, int], ...]  # x, day since it was built


@dataclass(frozen=True, slots=True)
class StoryCut:
    """The heap cut open at one moment, small."""

    frame: CourseFrame
    day: int
    section: Section
    bin: BinDrawn
    core_c: float
    edge_c: float


@dataclass(frozen=True, slots=True)
class StoryCuts:
    """A row of cuts on one scale."""

    paper: Paper
    cuts: tuple[StoryCut, ...]


class _Frame:
    """Where moments and degrees lie."""

    def __init__(self, answer: BatchStory) -> None:
        course = answer.course
        self.start = answer.built_at if course is None else course.start
        hours = 0 if course is None else len(course.likely_c) - 1
        end = max(answer.until, self.start + timedelta(hours=max(hours, 24)))
        self.span = (end - self.start) / timedelta(hours=1)
        values = [one.temperature_c for one in answer.readings] + [answer.hot.limit_c]
        if course is not None:
            values += [float(course.low_c.min()), float(course.high_c.max())]
        self.low, self.high = min(*values, _COLDEST_C), max(*values, _HOTTEST_C)

    def x(self, at: datetime) -> float:
        return self.x_hour((at - self.start) / timedelta(hours=1))

    def x_hour(self, hour: float) -> float:
        share = min(1.0, max(0.0, hour / self.span))
        return round(LEFT + share * (WIDTH - LEFT - RIGHT), 1)

    def y(self, celsius: float) -> float:
        share = (celsius - self.low) / (self.high - self.low)
        return round(HEIGHT - FOOT - share * (HEIGHT - FOOT - TOP), 1)


def story_curve(
    answer: BatchStory, rows: Sequence[DayRow], reader: Reader, zone: tzinfo
) -> StoryCurve:
    """Return the curve of a heap's life.

    Parameters
    ----------
    answer : BatchStory
    rows : sequence of DayRow
        The days of the table beside it; their rain is drawn.
    reader : Reader
    zone : tzinfo

    """
    frame = _Frame(answer)
    course = answer.course
    marks = [(frame.x(at), letters) for at, letters in marks_of(answer.events)]
    return StoryCurve(
        band="" if course is None else _band(frame, course),
        likely="" if course is None else _line(frame, course),
        readings=tuple(
            (frame.x(one.at), frame.y(one.temperature_c), heat_step(one.temperature_c))
            for one in answer.readings
        ),
        letters=tuple(said_together(marks, _LEAST_APART)),
        rain=tuple(_rain(frame, rows, zone)),
        limit_y=frame.y(answer.hot.limit_c),
        now_x=frame.x(answer.until),
        degrees=tuple(_degrees(frame, reader)),
        days=tuple(_days(frame)),
    )


def _hours(course: Forecast) -> list[int]:
    last = len(course.likely_c) - 1
    step = max(1, -(-last // _MOST_POINTS))
    return sorted({*range(0, last + 1, step), last})


def _points(frame: _Frame, hours: Iterable[int], values: np.ndarray) -> str:
    return " ".join(f"{frame.x_hour(hour):g},{frame.y(float(values[hour])):g}" for hour in hours)


def _band(frame: _Frame, course: Forecast) -> str:
    hours = _hours(course)
    return f"{_points(frame, hours, course.high_c)} {_points(frame, hours[::-1], course.low_c)}"


def _line(frame: _Frame, course: Forecast) -> str:
    return _points(frame, _hours(course), course.likely_c)


def _rain(
    frame: _Frame, rows: Sequence[DayRow], zone: tzinfo
) -> Iterable[tuple[float, float, float]]:
    most = max([_RAIN_FULL_MM, *(row.rain_mm for row in rows)])
    for row in rows:
        if row.rain_mm > 0:
            midnight = datetime.combine(row.day, datetime.min.time(), zone)
            left, right = frame.x(midnight), frame.x(midnight + timedelta(days=1))
            tall = max(1.5, row.rain_mm / most * _RAIN_TALL)
            yield left, round(max(1.0, 0.7 * (right - left)), 1), round(tall, 1)


def _degrees(frame: _Frame, reader: Reader) -> Iterable[tuple[float, str]]:
    unit = reader.units.temperature_unit
    step = 20 if unit == "F" else 10
    low, high = (temperature_in(end, unit) for end in (frame.low, frame.high))
    for value in range(int(-(-low // step) * step), int(high) + 1, step):
        share = (value - low) / (high - low)
        yield round(HEIGHT - FOOT - share * (HEIGHT - FOOT - TOP), 1), f"{value}"


def _days(frame: _Frame) -> Iterable[tuple[float, int]]:
    whole = int(frame.span // 24)
    step = next((one for one in _TICK_DAYS if whole / one <= _MOST_TICKS), whole)
    for day in range(0, whole + 1, max(1, step)):
        yield frame.x_hour(24 * day), day


def story_cuts(answer: BatchStory, reader: Reader) -> StoryCuts | None:
    """Return the heap cut open at few moments, side by side on one scale; None without a model."""
    if answer.cuts is None:
        return None
    frames, tip = answer.cuts.frames, answer.cuts.tip_depth_m
    scale = heat_scale(answer.hot.limit_c, reader)
    bins = tuple({frame.bin.key: frame.bin for frame in frames}.values())
    paper = Paper(max(float(one.section.height_edges_m[-1]) for one in frames), bins)
    return StoryCuts(paper, tuple(_cut(frame, paper, tip, scale) for frame in frames))


def _cut(frame: CourseFrame, paper: Paper, tip_m: float, scale: Scale) -> StoryCut:
    drawn = drawing.draw_bin(frame.bin, paper)
    heap = Heap(paper, drawn, float(frame.section.height_edges_m[-1]))
    core, edge = (frame.section.cell_at(*place) for place in ((0.0, 0.5), (1.0, 0.5)))
    return StoryCut(
        frame=frame,
        day=frame.hours // 24,
        section=drawing.draw_section(frame.section, heap, tip_m, scale),
        bin=drawn,
        core_c=float(frame.section.temperature_c[core]),
        edge_c=float(frame.section.temperature_c[edge]),
    )
