"""The heap's course on a bin's page: its present picture, its rows of numbers, the script's data.

Knows how the pictures of a course become plain lists and words in the reader's units. The script
draws from the same whole numbers as the present picture here. Holds no model.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, tzinfo
from typing import Any

import numpy as np
from numpy.typing import NDArray

from heapwright.sentences import Reader, Sentence
from heapwright.web import drawing, gauge, words
from heapwright.web.chart import LETTERS
from heapwright.web.drawing import BinDrawn, Heap, Paper, Section
from heapwright.web.scales import Scale, heat_scale, water_scale
from heapwright.workshop.answers import CourseFrame, CrossSection, HeapCourse, Phase

#: Places told in numbers: shares of the radius and of the height.
PLACES: Mapping[str, tuple[float, float]] = {
    "core": (0.0, 0.5),
    "half-way": (0.5, 0.5),
    "edge": (1.0, 0.5),
    "top": (0.0, 1.0),
    "foot": (0.0, 0.0),
}
_MM_PER_M = 1000.0
#: Signs under the slider nearer than this share of its length would touch; the later stays.
_LEAST_APART = 0.045


@dataclass(frozen=True, slots=True)
class FrameRow:
    """One moment in numbers, for the table and for what the slider says."""

    at: datetime
    day: int  # of the calendar, 0 the day it was built
    phase: Phase
    heat_c: tuple[float, ...]  # at each of PLACES
    water: tuple[float, ...]  # shares
    tip_c: float
    height_m: float
    letters: tuple[str, ...]
    done: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True)
class Mark:
    """A sign under the slider: how far along, in per cent."""

    place: float
    letter: str


@dataclass(frozen=True, slots=True)
class CutPicture:
    """Everything `section.html` puts on the page."""

    paper: Paper
    section: Section
    built_outline: str
    bins: tuple[BinDrawn, ...]
    bin_now: int
    rows: tuple[FrameRow, ...]
    now: int
    marks: tuple[Mark, ...]
    now_place: float
    readings: int
    places: tuple[str, ...]
    dry: float  # shares, the limits of the water picture
    wet: float
    data: dict[str, Any]


def cut_picture(course: HeapCourse, heat_line_c: float, reader: Reader, zone: tzinfo) -> CutPicture:
    """Return what the page shows of a course, its present picture drawn for heat.

    Parameters
    ----------
    course : HeapCourse
    heat_line_c : float
        Temperature the dashed line is drawn for. [°C]
    reader : Reader
    zone : tzinfo
        The garden's, for days and clock.

    """
    bins = tuple({frame.bin.key: frame.bin for frame in course.frames}.values())
    paper = Paper(max(_height_m(frame.section) for frame in course.frames), bins)
    drawn = tuple(drawing.draw_bin(one, paper) for one in bins)
    at_bin = [[one.key for one in bins].index(frame.bin.key) for frame in course.frames]
    scales = (heat_scale(heat_line_c, reader), water_scale())
    heaps = [
        Heap(paper, drawn[i], _height_m(frame.section))
        for i, frame in zip(at_bin, course.frames, strict=True)
    ]
    now = course.now_index
    last = max(1, len(course.frames) - 1)
    dry, _, wet = gauge.damp_marks()
    first_day = course.frames[0].at
    return CutPicture(
        paper=paper,
        section=drawing.draw_section(course.now.section, heaps[now], course.tip_depth_m, scales[0]),
        built_outline=drawing.outline(heaps[0]),
        bins=drawn,
        bin_now=at_bin[now],
        rows=tuple(_row(frame, first_day, zone) for frame in course.frames),
        now=now,
        marks=_marks(course),
        now_place=round(100 * now / last, 2),
        readings=course.readings,
        places=tuple(PLACES),
        dry=dry,
        wet=wet,
        data={
            "now": now,
            "tip": round(course.tip_depth_m * _MM_PER_M),
            "heights": [round(_height_m(frame.section) * _MM_PER_M) for frame in course.frames],
            "bins": at_bin,
            "paper": _paper_data(paper, drawn),
            "grid": _grid_data(course.frames[0].section),
            "scales": {scale.name: _scale_data(scale, course.frames) for scale in scales},
        },
    )


def _height_m(section: CrossSection) -> float:
    """Return the heap's height as drawn, in whole millimetres."""
    return round(float(section.height_edges_m[-1]) * _MM_PER_M) / _MM_PER_M


def _row(frame: CourseFrame, built: datetime, zone: tzinfo) -> FrameRow:
    cells = [frame.section.cell_at(*place) for place in PLACES.values()]
    return FrameRow(
        at=frame.at,
        day=words.day_number(built, frame.at, zone),
        phase=frame.phase,
        heat_c=tuple(float(frame.section.temperature_c[cell]) for cell in cells),
        water=tuple(float(frame.section.moisture[cell]) for cell in cells),
        tip_c=frame.tip_c,
        height_m=_height_m(frame.section),
        letters=_letters(frame),
        done=tuple(event.words for event in frame.done),
    )


def _letters(frame: CourseFrame) -> tuple[str, ...]:
    return tuple(
        dict.fromkeys(LETTERS[event.kind][0] for event in frame.done if event.kind in LETTERS)
    )


def _marks(course: HeapCourse) -> tuple[Mark, ...]:
    """Return the letters of what was done, where the slider stands for it."""
    last = max(1, len(course.frames) - 1)
    marks: list[Mark] = []
    for i, frame in enumerate(course.frames):
        place = 100.0 * i / last
        letters = " ".join(_letters(frame))
        if letters and marks and place - marks[-1].place < 100.0 * _LEAST_APART:
            marks[-1] = replace(marks[-1], place=place, letter=letters)
        elif letters:
            marks.append(Mark(round(place, 2), letters))
    return tuple(marks)


# ---- the script's data ----


def _paper_data(paper: Paper, bins: Sequence[BinDrawn]) -> dict[str, Any]:
    return {
        "scale": paper.scale / _MM_PER_M,
        "middle": paper.middle_x,
        "ground": paper.ground_y,
        "bins": [{"half": one.half_width, "crown": one.crown, "taper": one.taper} for one in bins],
    }


def _grid_data(section: CrossSection) -> dict[str, Any]:
    """Return the middles of rings and levels as shares, and the grid that is drawn."""
    rings, levels = drawing.middle_shares(section)
    return {
        "rings": rings.tolist(),
        "levels": levels.tolist(),
        "across": drawing.GRID_ACROSS,
        "up": drawing.GRID_UP,
        "printAcross": drawing.PRINT_ACROSS,
        "printUp": drawing.PRINT_UP,
    }


def _scale_data(scale: Scale, frames: Sequence[CourseFrame]) -> dict[str, Any]:
    cells = np.array([scale.cells(frame.section).ravel() for frame in frames])
    return {
        "edges": scale.edges,
        "lines": scale.lines,
        "limits": scale.limits,
        "dry": scale.dry,
        "wet": scale.wet,
        "times": scale.times,
        "plus": scale.plus,
        "cells": packed(cells).tolist(),
    }


def packed(cells: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return cells of shape (frames, cells) as one row of small numbers, which pack well.

    Each number is the change since the frame before, less the same of the cell before it.
    """
    changes = np.diff(cells, axis=0, prepend=0)
    return np.diff(changes.ravel(), prepend=0)
