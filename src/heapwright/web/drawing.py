"""Draws the heap cut open: steps of heat or water, lines with numbers, thermometer, bin, ground.

Knows lines and places on paper, to scale. The outline of the top is drawn, not measured: a walled
heap is given a slight crown and an open heap sloping sides, each keeping the heap's volume. Knows
nothing of why it is as hot as it is. `static/cut.js` draws the same in the browser for the other
moments; a test holds the two together.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heapwright.journal.entries import BinState
from heapwright.web.contours import isolines, regions
from heapwright.web.scales import Scale
from heapwright.workshop.answers import CrossSection, FloatArray

WIDTH = 360.0
#: Room left of the bin, right of it (for the height), above (the thermometer) and below.
_LEFT, _RIGHT, _ABOVE, _BELOW = 12.0, 78.0, 62.0, 58.0
_LARGEST_HEIGHT = 250.0
#: Shape of the top, for the eye only: rise of the crown as a share of the height, and how much
#: narrower an open heap is at its top than at its foot.
_CROWN_WALLED, _CROWN_OPEN, _TAPER_OPEN = 0.05, 0.10, 0.50
#: Steps the drawn grid has from axis to wall and from foot to top.
GRID_ACROSS, GRID_UP = 12, 24
#: Where numbers are printed on the right half: shares of the half width and of the height.
PRINT_ACROSS, PRINT_UP = (0.36, 0.79), (0.86, 0.5, 0.14)
#: Size of a number's plate: its height, and its width as ends and for each sign.
PLATE_HEIGHT, PLATE_ENDS, PLATE_SIGN = 24.0, 10.0, 10.0
#: How far a line's number keeps from the wall, the thermometer, the ground and the top.
_CLEAR_WALL, _CLEAR_PROBE, _CLEAR_ENDS = 3.0, 8.0, 4.0
_PROBE_STANDS_OUT = 34.0
_SHARE_DIGITS = 5
#: Lines run this much below their level, as drawn: cells are whole numbers, so none lies on a line.
_UNDER_LEVEL = 0.25

Point = tuple[float, float]
Box = tuple[float, float, float, float]  # left, top, right, bottom


@dataclass(frozen=True, slots=True)
class Label:
    """A number on the drawing, at its middle."""

    x: float
    y: float
    text: str
    width: float


@dataclass(frozen=True, slots=True)
class Section:
    """What changes in the drawing from moment to moment, in drawing units.

    `bands` has one path for each step of the scale, "" when it is not there; each is drawn over
    the one before. `dry` and `wet` are where dots and waves lie over the colour.
    """

    bands: tuple[str, ...]
    outline: str
    lines: str
    limits: str
    dry: str
    wet: str
    line_numbers: tuple[Label, ...]
    numbers: tuple[Label, ...]
    heap_top_y: float
    tip_y: float

    @property
    def probe_top_y(self) -> float:
        """Where the thermometer's stem meets its dial."""
        return _tenth(self.heap_top_y - _PROBE_STANDS_OUT)


class Paper:
    """The scale of the drawing: one for all moments, so that the heap is seen to sink."""

    def __init__(self, tallest_heap_m: float, bins: Sequence[BinState]) -> None:
        room = WIDTH - _LEFT - _RIGHT
        walls = [one.height_m for one in bins if one.wall != "none"]
        crown = _CROWN_WALLED if len(walls) == len(bins) else _CROWN_OPEN
        tallest = max([tallest_heap_m * (1 + crown), *walls])
        widest = max(one.width_m * (1 + 0.5 * _taper(one)) for one in bins)
        self.scale = min(room / widest, _LARGEST_HEIGHT / tallest)
        self.middle_x = _LEFT + room / 2
        self.ground_y = round(_ABOVE + tallest * self.scale, 1)
        self.height = self.ground_y + _BELOW


@dataclass(frozen=True, slots=True)
class BinDrawn:
    """A bin on paper: its walls, and the shape it gives to a heap."""

    name: str
    wall: str
    half_width: float
    width_m: float
    crown: float
    taper: float
    walls: tuple[Box, ...]  # x, y, width, height
    slats: tuple[Box, ...]

    @property
    def half_foot(self) -> float:
        """Half the width of a heap in it, at the ground."""
        return self.half_width * (1 + 0.5 * self.taper)


def draw_bin(bin_state: BinState, paper: Paper) -> BinDrawn:
    """Return a bin as it stands on the paper."""
    walled = bin_state.wall != "none"
    half = 0.5 * bin_state.width_m * paper.scale
    tall = bin_state.height_m * paper.scale
    lefts = (paper.middle_x - half - 7, paper.middle_x + half + 1) if walled else ()
    walls = tuple(
        (round(x, 1), round(paper.ground_y - tall, 1), 6.0, round(tall, 1)) for x in lefts
    )
    return BinDrawn(
        name=bin_state.name,
        wall=bin_state.wall,
        half_width=round(half, 2),
        width_m=bin_state.width_m,
        crown=_CROWN_WALLED if walled else _CROWN_OPEN,
        taper=_taper(bin_state),
        walls=walls,
        slats=tuple(slat for wall in walls for slat in _slats(wall)),
    )


def _taper(bin_state: BinState) -> float:
    """Return how much wider the foot is than the top, as a share of the width half-way up."""
    return _TAPER_OPEN if bin_state.wall == "none" else 0.0


def _slats(wall: Box) -> list[Box]:
    """Return the ends of the boards on a post."""
    x, y, width, tall = wall
    count = 7
    pitch = tall / count
    return [
        (x - 1, round(y + pitch * i + 2, 1), width + 2, round(pitch - 5, 1)) for i in range(count)
    ]


class Heap:
    """A heap of some height in a drawn bin: the way from a place in it to a place on paper."""

    def __init__(self, paper: Paper, drawn_bin: BinDrawn, height_m: float) -> None:
        self.paper = paper
        self.bin = drawn_bin
        self.height_m = height_m

    def place(self, across: float, up: float) -> Point:
        """Return where a place lies: `across` from -1 at the left wall to 1, `up` from 0 to 1."""
        # The mean of 1 - 2 r² over a disc is nought, so the crown keeps the volume.
        lifted = self.height_m * up * (1 + self.bin.crown * (1 - 2 * across**2) * up)
        x = self.paper.middle_x + across * self.bin.half_width * (1 - self.bin.taper * (up - 0.5))
        return _tenth(x), _tenth(self.paper.ground_y - lifted * self.paper.scale)


def draw_section(section: CrossSection, heap: Heap, tip_depth_m: float, scale: Scale) -> Section:
    """Return the drawing of a heap at one moment.

    Parameters
    ----------
    section : CrossSection
    heap : Heap
        The paper it is drawn on; the model's round heap is stretched to the bin's width.
    tip_depth_m : float
        Depth of the thermometer's tip below the top. [m]
    scale : Scale
        Whether heat or water is drawn, and how.

    """
    field = Field(section, scale)
    lines = {level: field.lines(level, heap) for level in (*scale.limits, *scale.lines)}
    around = outline(heap)
    tip_up = max(0.0, 1.0 - tip_depth_m / heap.height_m)
    return Section(
        bands=field.bands(heap, around),
        outline=around,
        lines="".join(_path(line) for level in scale.lines for line in lines[level]),
        limits="".join(_path(line) for level in scale.limits for line in lines[level]),
        dry="" if scale.dry is None else around + field.rings(scale.dry, heap),
        wet="" if scale.wet is None else field.rings(scale.wet, heap),
        line_numbers=tuple(_line_numbers(lines, heap, scale)),
        numbers=tuple(_numbers(field, heap, scale)),
        heap_top_y=heap.place(0.0, 1.0)[1],
        tip_y=heap.place(0.0, tip_up)[1],
    )


class Field:
    """The cells of a section, spread smoothly over the drawn grid."""

    def __init__(self, section: CrossSection, scale: Scale) -> None:
        self.cells = scale.cells(section).astype(np.float64)
        self.scale = scale
        self.rings_at, self.levels_at = middle_shares(section)
        self.across = np.linspace(-1.0, 1.0, 2 * GRID_ACROSS + 1)
        self.up = np.linspace(0.0, 1.0, GRID_UP + 1)
        self.values = self.at(self.across, self.up)

    def at(self, across: FloatArray, up: FloatArray) -> FloatArray:
        """Return the values at places, shape (len(across), len(up))."""
        by_ring = _between(up, self.levels_at, self.cells.T).T
        return _between(np.abs(across), self.rings_at, by_ring)

    def lines(self, level: float, heap: Heap) -> list[list[Point]]:
        """Return the lines of a level on paper."""
        found = isolines(self.values, self.across, self.up, level - _UNDER_LEVEL)
        return [[heap.place(*point) for point in line] for line in found]

    def rings(self, level: float, heap: Heap) -> str:
        """Return the path around all that is at the level or more."""
        found = regions(self.values, self.across, self.up, level - _UNDER_LEVEL)
        return "".join(_closed([heap.place(*point) for point in ring[:-1]]) for ring in found)

    def bands(self, heap: Heap, around: str) -> tuple[str, ...]:
        """Return a path for each step of the scale, each drawn over the one before."""
        low, high = float(self.values.min()), float(self.values.max())
        paths = [around]
        for edge in self.scale.edges:
            if low >= edge - _UNDER_LEVEL:  # nothing is cooler: begin anew with the whole heap
                paths = [""] * len(paths) + [around]
            else:
                paths.append(self.rings(edge, heap) if high >= edge - _UNDER_LEVEL else "")
        return tuple(paths)


def outline(heap: Heap) -> str:
    """Return the path around the heap: up the left side, over the crown, down the right."""
    ups = np.linspace(0.0, 1.0, GRID_UP + 1).tolist()
    across = np.linspace(-1.0, 1.0, 2 * GRID_ACROSS + 1).tolist()
    left = [heap.place(-1.0, up) for up in ups]
    right = [heap.place(1.0, up) for up in ups[::-1]]
    return _closed(left + [heap.place(place, 1.0) for place in across[1:-1]] + right)


def _numbers(field: Field, heap: Heap, scale: Scale) -> list[Label]:
    """Return the values at places on the right half, where they do not hide the thermometer."""
    values = field.at(np.array(PRINT_ACROSS), np.array(PRINT_UP))
    return [
        _label(heap.place(across, up), scale.number(float(values[i, j])))
        for j, up in enumerate(PRINT_UP)
        for i, across in enumerate(PRINT_ACROSS)
    ]


def _line_numbers(lines: dict[int, list[list[Point]]], heap: Heap, scale: Scale) -> Iterable[Label]:
    """Give each line's number on the left half, where there is room for it, near mid height."""
    top, foot = heap.place(0.5, 1.0)[1], heap.paper.ground_y
    middle_y = 0.5 * (top + foot)
    free = (
        heap.paper.middle_x - heap.bin.half_width * (1 - 0.5 * heap.bin.taper) + _CLEAR_WALL,
        top + _CLEAR_ENDS,
        heap.paper.middle_x - _CLEAR_PROBE,
        foot - _CLEAR_ENDS,
    )
    taken: list[Box] = []
    for level, found in lines.items():
        text = scale.number(float(level))
        points = sorted((p for line in found for p in line), key=lambda p: abs(p[1] - middle_y))
        for point in points:
            label = _label(point, text)
            box = _box(label)
            if _inside(box, free) and not any(_overlap(box, other) for other in taken):
                taken.append(box)
                yield label
                break


def _label(point: Point, text: str) -> Label:
    return Label(*point, text, PLATE_ENDS + PLATE_SIGN * len(text))


def _box(label: Label) -> Box:
    half_w, half_h = 0.5 * label.width, 0.5 * PLATE_HEIGHT
    return label.x - half_w, label.y - half_h, label.x + half_w, label.y + half_h


def _inside(box: Box, other: Box) -> bool:
    return all(box[i] >= other[i] and box[i + 2] <= other[i + 2] for i in (0, 1))


def _overlap(box: Box, other: Box) -> bool:
    return all(box[i] < other[i + 2] and other[i] < box[i + 2] for i in (0, 1))


def middle_shares(section: CrossSection) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the middles of the rings as shares of the radius, of the levels of the height."""
    across, up = (
        np.round(0.5 * (edges[1:] + edges[:-1]) / edges[-1], _SHARE_DIGITS)
        for edges in (section.radius_edges_m, section.height_edges_m)
    )
    return across, up


def _between(places: FloatArray, known: FloatArray, values: FloatArray) -> NDArray[np.float64]:
    """Return values at places between the known ones, along the first axis.

    Cubic pieces whose slope at a known place is the harmonic mean of the slopes on both sides, 0
    at a peak, a hollow and the ends: nothing lies above or below its neighbours that the known
    values do not. Beyond the outermost all is even.
    """
    widths = np.diff(known)[:, None]
    rises = np.diff(values, axis=0) / widths
    before, after = rises[:-1], rises[1:]
    same = before * after > 0
    slopes = np.zeros_like(values)
    slopes[1:-1][same] = (2 * before * after)[same] / (before + after)[same]
    at = np.clip(np.searchsorted(known, places, side="right") - 1, 0, len(known) - 2)
    share = np.clip((places - known[at]) / np.diff(known)[at], 0.0, 1.0)[:, None]
    rest = 1 - share
    return np.asarray(
        rest**2 * ((1 + 2 * share) * values[at] + share * widths[at] * slopes[at])
        + share**2 * ((1 + 2 * rest) * values[at + 1] - rest * widths[at] * slopes[at + 1])
    )


def _tenth(number: float) -> float:
    """Round to a tenth, halves upward as browsers do."""
    return math.floor(number * 10 + 0.5) / 10


def _closed(points: Iterable[Point]) -> str:
    return _path(points) + "Z"


def _path(points: Iterable[Point]) -> str:
    return "M" + "L".join(f"{x:g} {y:g}" for x, y in points)
