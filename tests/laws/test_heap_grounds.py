"""What a heap stands on, and the shape of its bin, must matter as they do in a garden."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from heapwright.heap.simulate import simulate
from heapwright.heap.types import BinShape, Cover, Fill, Ground, HeapRun, Wall
from tests.laws.heap_courses import fill, weather

DRUM = BinShape(0.6, 0.6, 0.7, Wall.PLASTIC, Cover.LID, 0.5, is_round=True)


@cache
def on(ground: Ground) -> HeapRun:
    mix: Fill = replace(fill(0.19), moisture=0.62)
    return simulate(replace(DRUM, ground=ground), mix, weather(21, 18.0))


def test_more_open_ground_brings_more_oxygen_and_decay() -> None:
    order = (Ground.CLOSED, Ground.SLAB, Ground.SOIL, Ground.COARSE, Ground.GRID)
    oxygen = [float(on(ground).oxygen[24:96].mean()) for ground in order]
    assert np.all(np.diff(oxygen) > 0.0)
    assert on(Ground.GRID).degradable_left[-1] < on(Ground.CLOSED).degradable_left[-1]


def test_sieve_base_dries_more_and_shrinks_more_as_illmer1997() -> None:
    """Illmer, Meyer & Schinner 1997, abstract: a sieve base, more volume lost and drier."""
    grid, closed = on(Ground.GRID), on(Ground.CLOSED)
    assert grid.ledger.water_evaporated_kg[-1] > closed.ledger.water_evaporated_kg[-1]
    assert grid.volume_m3[-1] < closed.volume_m3[-1]


def test_cutting_the_base_out_of_a_tub_lets_its_foot_breathe() -> None:
    foot = {g: float(on(g).oxygen[24:96, :, :2].mean()) for g in (Ground.COARSE, Ground.CLOSED)}
    assert foot[Ground.COARSE] > 1.5 * foot[Ground.CLOSED]


@pytest.mark.parametrize("wall", [Wall.BOARDS, Wall.PLASTIC])
def test_round_bin_has_less_wall_than_a_square_one_of_its_volume(wall: Wall) -> None:
    side = 0.9
    square = BinShape(side, side, 0.9, wall)
    width = side * np.sqrt(4.0 / np.pi)
    rounded = BinShape(width, width, 0.9, wall, is_round=True)
    assert rounded.volume_m3 == pytest.approx(square.volume_m3)
    assert rounded.girth_m == pytest.approx(square.girth_m * np.sqrt(np.pi) / 2.0)
    runs = [simulate(shape, fill(0.7), weather(10, 5.0)) for shape in (square, rounded)]
    lost = [run.ledger.heat_through_side_j[-1] / run.ledger.heat_released_j[-1] for run in runs]
    assert lost[1] < lost[0]
