"""Draws the heap cut open: its cells, the heat line, the thermometer, the bin, the ground.

Knows lines and places on paper, to scale. The outline of the top is drawn, not measured: a walled
heap is given a slight crown and an open heap sloping sides, each keeping the heap's volume. Knows
nothing of why it is as hot as it is.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from heapwright.journal.entries import BinState
from heapwright.sentences import Measure, Reader
from heapwright.web import words
from heapwright.web.contours import chained, contour
from heapwright.web.heat import heat_class
from heapwright.workshop.answers import CrossSection, FloatArray

WIDTH = 360.0
#: Room left of the bin, right of it (for the height), above (the thermometer) and below.
_LEFT, _RIGHT, _ABOVE, _BELOW = 12.0, 78.0, 62.0, 58.0
_LARGEST_HEIGHT = 250.0
#: Shape of the top, for the eye only: rise of the crown as a share of the height, and how much
#: narrower an open heap is at its top than at its foot.
_CROWN_WALLED, _CROWN_OPEN, _TAPER_OPEN = 0.05, 0.10, 0.50
#: Where numbers are printed: shares of the half width and of the height.
_PRINT_ACROSS = (0.0, 0.45, 0.95)
_PRINT_UP = (0.86, 0.5, 0.14)
_PRINT_INSET = 0.85  # keeps the outermost numbers clear of the wall
_FINER = 4

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Label:
    """A word on the drawing, at its middle."""

    x: float
    y: float
    text: str
    width: float


@dataclass(frozen=True, slots=True)
class Section:
    """Everything `section.html` puts on paper, in drawing units."""

    width: float
    height: float
    cells: tuple[tuple[str, str], ...]  # class, path
    outline: str
    heat_line: str
    numbers: tuple[Label, ...]
    ground_y: float
    middle_x: float
    wall: str
    walls: tuple[tuple[float, float, float, float], ...]  # x, y, width, height
    slats: tuple[tuple[float, float, float, float], ...]
    probe_top_y: float
    probe_tip_y: float
    heap_top_y: float
    height_x: float
    height_words: str
    width_words: str
    foot_left: float
    foot_right: float
    table: tuple[tuple[float, tuple[float, ...]], ...]  # height [m], °C at each place across
    hottest_c: float
    coolest_c: float


def draw_section(
    section: CrossSection, bin_state: BinState, probe_depth_m: float, heat_c: float, reader: Reader
) -> Section:
    """Return the drawing of a heap.

    Parameters
    ----------
    section : CrossSection
    bin_state : BinState
        Its inner width is drawn; the model's round heap is stretched to it.
    probe_depth_m : float
        Depth of the thermometer's tip below the top. [m]
    heat_c : float
        Temperature the heat line is drawn for. [°C]
    reader : Reader

    """
    paper = _Paper(section, bin_state)
    tip_m = max(0.0, paper.heap_m - probe_depth_m)
    top = paper.place(0.0, paper.heap_m)[1]
    return Section(
        width=WIDTH,
        height=paper.ground_y + _BELOW,
        cells=_cells(section, paper),
        outline=_outline(section, paper),
        heat_line=_heat_line(section, paper, heat_c),
        numbers=_numbers(section, paper, reader),
        ground_y=round(paper.ground_y, 1),
        middle_x=round(paper.middle_x, 1),
        wall=bin_state.wall,
        walls=paper.posts(),
        slats=paper.slats(),
        probe_top_y=round(top - 34, 1),
        probe_tip_y=round(paper.place(0.0, tip_m)[1], 1),
        heap_top_y=round(top, 1),
        height_x=round(paper.middle_x + paper.half_width + 24, 1),
        height_words=words.amount(paper.heap_m, Measure.LENGTH, reader),
        width_words=words.amount(bin_state.width_m, Measure.LENGTH, reader),
        foot_left=round(paper.middle_x - paper.half_width, 1),
        foot_right=round(paper.middle_x + paper.half_width, 1),
        table=_table(section, paper),
        hottest_c=float(section.temperature_c.max()),
        coolest_c=float(section.temperature_c.min()),
    )


class _Paper:
    """The scale of the drawing, and the way from a place in the heap to a place on paper."""

    def __init__(self, section: CrossSection, bin_state: BinState) -> None:
        self.heap_m = float(section.height_edges_m[-1])
        self.radius_m = float(section.radius_edges_m[-1])
        self.bin_m = bin_state.height_m
        self.walled = bin_state.wall != "none"
        room = WIDTH - _LEFT - _RIGHT
        tallest = max(self.heap_m * (1 + _CROWN_OPEN), self.bin_m if self.walled else 0.0)
        self.scale = min(room / bin_state.width_m, _LARGEST_HEIGHT / tallest)
        self.half_width = 0.5 * bin_state.width_m * self.scale
        self.middle_x = _LEFT + room / 2
        self.ground_y = _ABOVE + tallest * self.scale

    def place(self, radius_m: float, height_m: float, side: int = 1) -> Point:
        """Return where a place of the model's cylinder lies on paper; `side` -1 is the left."""
        across = radius_m / self.radius_m
        up = height_m / self.heap_m if self.heap_m > 0 else 0.0
        crown = _CROWN_WALLED if self.walled else _CROWN_OPEN
        # The mean of 1 - 2 r² over a disc is nought, so the crown keeps the volume.
        lifted = height_m * (1 + crown * (1 - 2 * across**2) * up)
        taper = 1.0 if self.walled else 1 - _TAPER_OPEN * (up - 0.5)
        x = self.middle_x + side * across * self.half_width * taper
        return round(x, 1), round(self.ground_y - lifted * self.scale, 1)

    def posts(self) -> tuple[tuple[float, float, float, float], ...]:
        """Return the two end posts of the bin: x, y, width, height."""
        if not self.walled:
            return ()
        tall = self.bin_m * self.scale
        left = self.middle_x - self.half_width - 7
        right = self.middle_x + self.half_width + 1
        y = self.ground_y - tall
        return tuple((round(x, 1), round(y, 1), 6.0, round(tall, 1)) for x in (left, right))

    def slats(self) -> tuple[tuple[float, float, float, float], ...]:
        """Return the ends of the boards on both posts, for walls that are made of boards."""
        count = 7
        ends = []
        for x, y, width, tall in self.posts():
            pitch = tall / count
            ends += [
                (x - 1, round(y + pitch * i + 2, 1), width + 2, round(pitch - 5, 1))
                for i in range(count)
            ]
        return tuple(ends)


def _cells(section: CrossSection, paper: _Paper) -> tuple[tuple[str, str], ...]:
    """Return one path for each step of the heat scale: the right half, in bands of equal heat.

    The model's cells are drawn `_FINER` times finer, by straight interpolation between their
    middles, so that the bands have the shape of the heat and not of the grid.
    """
    edges_r, edges_z, fine = _finer(section)
    paths: dict[str, list[str]] = {}
    for j in range(fine.shape[1]):
        steps = [heat_class(float(celsius)) for celsius in fine[:, j]]
        for first, last in _runs(steps):
            ends = edges_r[first : last + 1]
            low = [paper.place(float(r), float(edges_z[j])) for r in ends]
            high = [paper.place(float(r), float(edges_z[j + 1])) for r in ends[::-1]]
            paths.setdefault(steps[first], []).append(_closed((*low, *high)))
    return tuple((name, "".join(parts)) for name, parts in sorted(paths.items()))


def _finer(section: CrossSection) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return the edges and values of the finer grid."""
    radii, heights = section.temperature_c.shape
    edges_r = np.linspace(0.0, section.radius_edges_m[-1], _FINER * radii + 1)
    edges_z = np.linspace(0.0, section.height_edges_m[-1], _FINER * heights + 1)
    up = _middles(section.height_edges_m)
    across = _middles(section.radius_edges_m)
    by_height = np.array(
        [np.interp(_middles(edges_z), up, column) for column in section.temperature_c]
    )
    fine = np.array([np.interp(_middles(edges_r), across, row) for row in by_height.T]).T
    return edges_r, edges_z, fine


def _runs(steps: list[str]) -> list[tuple[int, int]]:
    """Return (first, end) of each stretch of equal steps."""
    cuts = [0, *(i for i in range(1, len(steps)) if steps[i] != steps[i - 1]), len(steps)]
    return list(pairwise(cuts))


def _outline(section: CrossSection, paper: _Paper) -> str:
    """Return the heap's outline: up the left side, over the crown, down the right."""
    radii, heights = section.radius_edges_m, section.height_edges_m
    rim, top = float(radii[-1]), float(heights[-1])
    points = [paper.place(rim, float(z), -1) for z in heights]
    points += [paper.place(float(r), top, -1) for r in radii[-2::-1]]
    points += [paper.place(float(r), top) for r in radii[1:]]
    points += [paper.place(rim, float(z)) for z in heights[-2::-1]]
    return _closed(tuple(points))


def _heat_line(section: CrossSection, paper: _Paper, heat_c: float) -> str:
    """Return the line between what is at `heat_c` or more and what is cooler."""
    edges_r, edges_z, fine = _finer(section)
    # As in the bands, the outermost cells on every side are even up to the edge.
    across = np.concatenate((_middles(edges_r), edges_r[-1:]))
    up = np.concatenate((edges_z[:1], _middles(edges_z), edges_z[-1:]))
    values = np.pad(fine, ((0, 1), (1, 1)), mode="edge")
    lines = chained(contour(values, across, up, heat_c))
    return "".join(
        _path([paper.place(r, z, side) for r, z in line]) for line in lines for side in (1, -1)
    )


def _numbers(section: CrossSection, paper: _Paper, reader: Reader) -> tuple[Label, ...]:
    """Return temperatures to print on the right half, where they do not hide the thermometer."""
    labels = []
    for up in _PRINT_UP:
        for across in _PRINT_ACROSS[1:]:
            celsius = _value(section, across, up)
            x, y = paper.place(across * _PRINT_INSET * paper.radius_m, up * paper.heap_m)
            text = words.degrees(celsius, reader)
            labels.append(Label(x, y, text, 12.0 + 10.0 * len(text)))
    return tuple(labels)


def _table(section: CrossSection, paper: _Paper) -> tuple[tuple[float, tuple[float, ...]], ...]:
    return tuple(
        (up * paper.heap_m, tuple(_value(section, across, up) for across in _PRINT_ACROSS))
        for up in _PRINT_UP
    )


def _value(section: CrossSection, across: float, up: float) -> float:
    radii, heights = section.temperature_c.shape
    i = min(radii - 1, int(across * radii))
    j = min(heights - 1, int(up * heights))
    return float(section.temperature_c[i, j])


def _middles(edges: FloatArray) -> FloatArray:
    return 0.5 * (edges[1:] + edges[:-1])


def _closed(points: tuple[Point, ...]) -> str:
    return _path(points) + "Z"


def _path(points: Iterable[Point]) -> str:
    return "M" + "L".join(f"{x:g} {y:g}" for x, y in points)
