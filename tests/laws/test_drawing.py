"""The drawn heap is true to the model's numbers: place, size, heat line."""

from __future__ import annotations

import math
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heapwright.quantities import UnitSystem
from heapwright.sentences import Reader
from heapwright.web.contours import chained, contour
from heapwright.web.drawing import WIDTH, draw_section
from heapwright.web.heat import heat_class
from heapwright.workshop.answers import CrossSection
from tests.browser import samples

READER = Reader(UnitSystem.METRIC)


def _points(path: str) -> list[list[tuple[float, float]]]:
    """The corners of each closed piece of a path."""
    pieces = [piece for piece in path.split("M") if piece]
    return [
        [(float(x), float(y)) for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", piece)]
        for piece in pieces
    ]


def _area(corners: list[tuple[float, float]]) -> float:
    x, y = np.array(corners).T
    return 0.5 * abs(float(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1))))


@pytest.mark.parametrize("wall", ["pallets", "none"])
def test_the_cells_fill_the_outline(wall: str) -> None:
    drawn = draw_section(samples.cross_section(), samples.bin_state(1, wall), 0.4, 55.0, READER)
    halves = sum(_area(piece) for _, path in drawn.cells for piece in _points(path))
    whole = _area(_points(drawn.outline)[0])
    assert 2 * halves == pytest.approx(whole, rel=0.01)


@given(width=st.floats(0.4, 3.0), bin_height=st.floats(0.3, 2.5), heap_height=st.floats(0.05, 2.5))
def test_a_heap_of_any_size_stays_on_the_paper(
    width: float, bin_height: float, heap_height: float
) -> None:
    state = samples.bin_state()
    bin_state = type(state)(
        **{
            **{name: getattr(state, name) for name in state.__slots__},
            "width_m": width,
            "height_m": bin_height,
        }
    )
    section = samples.cross_section()
    section = CrossSection(
        section.temperature_c,
        section.moisture,
        section.radius_edges_m,
        np.linspace(0.0, heap_height, len(section.height_edges_m)),
    )
    drawn = draw_section(section, bin_state, 0.45, 55.0, READER)
    corners = np.array(_points(drawn.outline)[0])
    assert corners.min() >= 0.0
    assert corners[:, 0].max() <= WIDTH
    assert corners[:, 1].max() <= drawn.ground_y + 0.1
    assert drawn.probe_tip_y <= drawn.ground_y + 0.1


def test_height_and_width_are_to_one_scale() -> None:
    bin_state = samples.bin_state()
    drawn = draw_section(samples.cross_section(), bin_state, 0.45, 55.0, READER)
    corners = np.array(_points(drawn.outline)[0])
    scale = (drawn.foot_right - drawn.foot_left) / bin_state.width_m
    mean_top = corners[corners[:, 1] < drawn.ground_y - 1][:, 1].min()
    heap_m = float(samples.cross_section().height_edges_m[-1])
    assert (drawn.ground_y - mean_top) / scale == pytest.approx(heap_m, rel=0.08)


def test_the_printed_numbers_are_the_models() -> None:
    section = samples.cross_section()
    drawn = draw_section(section, samples.bin_state(), 0.45, 55.0, READER)
    told = {round(value) for row in section.temperature_c for value in row}
    assert {int(label.text) for label in drawn.numbers} <= told
    assert drawn.hottest_c == section.temperature_c.max()


def test_one_temperature_gives_one_colour_and_no_heat_line() -> None:
    section = samples.cross_section()
    even = CrossSection(
        np.full_like(section.temperature_c, 48.0),
        section.moisture,
        section.radius_edges_m,
        section.height_edges_m,
    )
    drawn = draw_section(even, samples.bin_state(), 0.45, 55.0, READER)
    assert [name for name, _ in drawn.cells] == [heat_class(48.0)]
    assert drawn.heat_line == ""


@settings(max_examples=25)
@given(radius=st.floats(0.15, 0.85))
def test_the_contour_of_a_cone_is_a_circle(radius: float) -> None:
    across = np.linspace(0.03, 1.0, 30)
    up = np.linspace(-1.0, 1.0, 61)
    values = -np.hypot(across[:, None], up[None, :])
    pieces = contour(values, across, up, -radius)
    reached = [math.hypot(*point) for piece in pieces for point in piece]
    assert pieces
    assert np.abs(np.array(reached) - radius).max() < 0.02


@given(st.floats(-50.0, 150.0))
def test_a_level_no_value_reaches_has_no_line(level: float) -> None:
    flat = np.full((4, 5), 60.0)
    assert contour(flat, np.arange(4.0) + 1, np.arange(5.0), level) == []


@settings(max_examples=25)
@given(radius=st.floats(0.15, 0.85))
def test_a_chained_contour_is_one_line_of_all_its_pieces(radius: float) -> None:
    across = np.linspace(0.03, 1.0, 30)
    up = np.linspace(-1.0, 1.0, 61)
    pieces = contour(-np.hypot(across[:, None], up[None, :]), across, up, -radius)
    lines = chained(pieces)
    assert len(lines) == 1
    long_ones = [piece for piece in pieces if math.dist(*piece) > 1e-8]
    assert len(lines[0]) == len(long_ones) + 1
    assert {lines[0][0][0], lines[0][-1][0]} == {0.0}  # from axis to axis


def test_a_closed_contour_ends_where_it_began() -> None:
    axis = np.linspace(-1.0, 1.0, 41)
    values = -np.hypot(axis[:, None] - 0.3, axis[None, :])
    lines = chained(contour(values, axis + 1.5, axis, -0.4))
    assert len(lines) == 1
    assert lines[0][0] == pytest.approx(lines[0][-1])
