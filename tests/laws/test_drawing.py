"""The drawn heap is true to the model's numbers: place, size, steps of colour, lines."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays

from heapwright.journal.entries import BinState
from heapwright.quantities import UnitSystem
from heapwright.sentences import Reader
from heapwright.web import drawing
from heapwright.web.contours import isolines, regions
from heapwright.web.course import cut_picture, packed
from heapwright.web.drawing import WIDTH, Heap, Paper, Section, draw_bin
from heapwright.web.heat import heat_step
from heapwright.web.scales import PER_DEGREE, Scale, heat_scale, water_scale
from heapwright.workshop.answers import CrossSection
from tests.browser import samples

READER = Reader(UnitSystem.METRIC)
HEAT = heat_scale(55.0, READER)
Points = list[list[tuple[float, float]]]


def _heap(section: CrossSection, bin_state: BinState) -> Heap:
    height = float(section.height_edges_m[-1])
    paper = Paper(height, [bin_state])
    return Heap(paper, draw_bin(bin_state, paper), height)


def _drawn(
    section: CrossSection, bin_state: BinState | None = None, scale: Scale = HEAT
) -> Section:
    heap = _heap(section, bin_state or samples.bin_state())
    return drawing.draw_section(section, heap, 0.45, scale)


def _points(path: str) -> Points:
    """The corners of each piece of a path."""
    pieces = [piece for piece in path.split("M") if piece]
    return [
        [(float(x), float(y)) for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", piece)]
        for piece in pieces
    ]


def _area(corners: list[tuple[float, float]]) -> float:
    x, y = np.array(corners).T
    return 0.5 * abs(float(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1))))


def _is_inside(rings: Points, place: tuple[float, float]) -> bool:
    """Whether a place lies in rings filled by the even-odd rule."""
    across, up = place
    crossings = 0
    for ring in rings:
        for (x1, y1), (x2, y2) in zip(ring, ring[1:] + ring[:1], strict=True):
            if (y1 > up) != (y2 > up):
                crossings += across < x1 + (up - y1) / (y2 - y1) * (x2 - x1)
    return crossings % 2 == 1


@pytest.mark.parametrize("wall", ["pallets", "none"])
def test_the_coolest_step_fills_the_outline_and_hotter_ones_lie_within(wall: str) -> None:
    drawn = _drawn(samples.cross_section(), samples.bin_state(1, wall))
    there = [path for path in drawn.bands if path]
    assert there[0] == drawn.outline
    areas = [sum(_area(ring) for ring in _points(path)) for path in there]
    assert len(areas) >= 6
    assert areas == sorted(areas, reverse=True)


@given(
    width=st.floats(0.4, 3.0),
    bin_height=st.floats(0.3, 2.5),
    heap_height=st.floats(0.05, 2.5),
    wall=st.sampled_from(["pallets", "none"]),
)
def test_a_heap_of_any_size_stays_on_the_paper(
    width: float, bin_height: float, heap_height: float, wall: str
) -> None:
    bin_state = replace(samples.bin_state(1, wall), width_m=width, height_m=bin_height)
    section = samples.cross_section()
    section = replace(
        section, height_edges_m=np.linspace(0.0, heap_height, len(section.height_edges_m))
    )
    heap = _heap(section, bin_state)
    drawn = drawing.draw_section(section, heap, 0.45, HEAT)
    corners = np.array(_points(drawn.outline)[0])
    assert corners.min() >= 0.0
    assert corners[:, 0].max() <= WIDTH
    assert corners[:, 1].max() <= heap.paper.ground_y + 0.1
    assert drawn.heap_top_y <= drawn.tip_y <= heap.paper.ground_y + 0.1
    for label in (*drawn.line_numbers, *drawn.numbers):
        assert label.x - label.width / 2 >= 0.0 and label.x + label.width / 2 <= WIDTH


def test_height_and_width_are_to_one_scale() -> None:
    bin_state = samples.bin_state()
    heap = _heap(samples.cross_section(), bin_state)
    corners = np.array(_points(drawing.outline(heap))[0])
    scale = np.ptp(corners[:, 0]) / bin_state.width_m
    heap_m = float(samples.cross_section().height_edges_m[-1])
    assert (heap.paper.ground_y - corners[:, 1].min()) / scale == pytest.approx(heap_m, rel=0.08)


def test_all_pictures_of_a_course_share_one_scale_so_that_the_heap_sinks() -> None:
    course = samples.heap_course()
    cut = cut_picture(course, 55.0, READER, samples.NOW.tzinfo)
    tops = []
    for frame, height in zip(course.frames, cut.data["heights"], strict=True):
        heap = Heap(cut.paper, cut.bins[0], height / 1000)
        tops.append(drawing.draw_section(frame.section, heap, 0.45, HEAT).heap_top_y)
    assert tops == sorted(tops) and tops[0] < tops[-1]


def test_the_printed_numbers_are_the_models_where_they_are_printed() -> None:
    section = samples.cross_section()
    drawn = _drawn(section)
    expected = [
        float(
            np.interp(
                across,
                (np.arange(10) + 0.5) / 10,
                [np.interp(up, (np.arange(20) + 0.5) / 20, ring) for ring in section.temperature_c],
            )
        )
        for up in drawing.PRINT_UP
        for across in drawing.PRINT_ACROSS
    ]
    told = [int(label.text) for label in drawn.numbers]
    assert told == pytest.approx(expected, abs=1.0)


def test_numbers_of_lines_do_not_cover_each_other_and_stand_on_their_line() -> None:
    drawn = _drawn(samples.cross_section())
    on_lines = {
        point for path in (drawn.lines, drawn.limits) for ring in _points(path) for point in ring
    }
    assert len(drawn.line_numbers) >= 4
    for i, label in enumerate(drawn.line_numbers):
        assert (label.x, label.y) in on_lines
        for other in drawn.line_numbers[:i]:
            apart_x = abs(label.x - other.x) >= (label.width + other.width) / 2
            assert apart_x or abs(label.y - other.y) >= drawing.PLATE_HEIGHT


def test_numbers_are_told_in_the_readers_degrees() -> None:
    us = heat_scale(55.0, Reader(UnitSystem.US))
    assert [us.number(value) for value in us.limits] == ["131"]
    assert [HEAT.number(value) for value in HEAT.lines] == ["20", "30", "40", "50", "60", "70"]
    assert HEAT.number(-52.0) == "−5"
    assert [water_scale().number(value) for value in water_scale().limits] == ["40", "65"]


def test_one_temperature_gives_one_step_and_no_line() -> None:
    section = samples.cross_section()
    even = replace(section, temperature_c=np.full_like(section.temperature_c, 48.0))
    drawn = _drawn(even)
    assert [step for step, path in enumerate(drawn.bands) if path] == [heat_step(48.0)]
    assert drawn.lines == drawn.limits == ""
    assert drawn.line_numbers == ()


def test_dots_lie_where_it_is_dry_and_waves_where_it_is_wet() -> None:
    section = samples.cross_section()
    moisture = np.repeat(np.linspace(0.2, 0.8, 20)[None, :], 10, axis=0)
    bin_state = samples.bin_state()
    drawn = _drawn(replace(section, moisture=moisture), bin_state, water_scale())
    heap = _heap(section, bin_state)
    dry, wet = _points(drawn.dry), _points(drawn.wet)
    assert _is_inside(dry, heap.place(0.3, 0.1)) and not _is_inside(wet, heap.place(0.3, 0.1))
    assert _is_inside(wet, heap.place(0.3, 0.95)) and not _is_inside(dry, heap.place(0.3, 0.95))
    assert not _is_inside(dry + wet, heap.place(0.3, 0.5))


@settings(max_examples=60)
@given(
    cells=arrays.arrays(np.float64, (6, 10), elements=st.floats(5.0, 80.0)),
    step=st.integers(0, len(HEAT.edges) - 1),
)
def test_lines_enclose_exactly_the_hotter_places(cells: np.ndarray, step: int) -> None:
    section = CrossSection(
        cells, np.full((6, 10), 0.5), np.linspace(0.0, 0.5, 7), np.linspace(0.0, 0.8, 11)
    )
    field = drawing.Field(section, HEAT)
    level = float(HEAT.edges[step])
    rings = regions(field.values, field.across, field.up, level)
    for i in range(1, len(field.across) - 1, 3):
        for j in range(1, len(field.up) - 1, 3):
            value = field.values[i, j]
            if abs(value - level) > 1.0:  # a tenth of a degree: not on the line itself
                place = float(field.across[i]) + 1e-7, float(field.up[j]) + 1e-7
                assert _is_inside(rings, place) == (value > level)


@given(cells=arrays.arrays(np.float64, (6, 10), elements=st.floats(-20.0, 90.0)))
def test_what_is_drawn_between_cells_lies_between_their_values(cells: np.ndarray) -> None:
    section = CrossSection(
        cells, np.full((6, 10), 0.5), np.linspace(0.0, 0.5, 7), np.linspace(0.0, 0.8, 11)
    )
    field = drawing.Field(section, HEAT)
    whole = np.rint(cells * PER_DEGREE)
    assert whole.min() - 1e-6 <= field.values.min() and field.values.max() <= whole.max() + 1e-6
    rings, levels = (np.arange(6) + 0.5) / 6, (np.arange(10) + 0.5) / 10
    assert field.at(np.round(rings, 5), np.round(levels, 5)) == pytest.approx(whole, abs=0.1)


@settings(max_examples=25)
@given(radius=st.floats(0.15, 0.85))
def test_the_contour_of_a_cone_is_one_circle(radius: float) -> None:
    axis = np.linspace(-1.0, 1.0, 61)
    values = -np.hypot(axis[:, None], axis[None, :])
    lines = isolines(values, axis, axis, -radius)
    assert len(lines) == 1
    assert lines[0][0] == lines[0][-1]
    reached = np.array([math.hypot(*point) for point in lines[0]])
    assert np.abs(reached - radius).max() < 0.02
    assert _area(regions(values, axis, axis, -radius)[0]) == pytest.approx(
        math.pi * radius**2, rel=0.02
    )


@settings(max_examples=25)
@given(height=st.floats(0.05, 0.95))
def test_a_level_that_leaves_the_grid_is_an_open_line_and_a_closed_region(height: float) -> None:
    across, up = np.linspace(-1.0, 1.0, 9), np.linspace(0.0, 1.0, 11)
    values = np.repeat(up[None, :], 9, axis=0)
    (line,) = isolines(values, across, up, height)
    assert {line[0][0], line[-1][0]} == {-1.0, 1.0}
    (ring,) = regions(values, across, up, height)
    assert _area(ring) == pytest.approx(2.0 * (1.0 - height))


@given(st.floats(-50.0, 150.0).filter(lambda level: level != 60.0))
def test_a_level_no_value_reaches_has_no_line(level: float) -> None:
    flat = np.full((4, 5), 60.0)
    grid = np.arange(4.0) + 1, np.arange(5.0)
    assert isolines(flat, *grid, level) == []
    assert len(regions(flat, *grid, level)) == (level < 60.0)


@given(arrays.arrays(np.int64, (5, 12), elements=st.integers(-300, 1000)))
def test_packed_cells_are_the_cells_again_when_summed_up(cells: np.ndarray) -> None:
    changes = np.cumsum(packed(cells)).reshape(cells.shape)
    assert (np.cumsum(changes, axis=0) == cells).all()
