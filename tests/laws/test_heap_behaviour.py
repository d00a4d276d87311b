"""What every gardener knows of a heap must be so in the model, in hot and in mild weather."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from heapwright.heap.types import BinShape, Cover, Wall
from tests.laws import heap_courses as heaps

PLACES = {"hot and dry": heaps.HOT_DRY, "mild": heaps.MILD}
TURNS = (5, 9, 14, 20, 28, 40, 50)


@cache
def alone(place: str) -> heaps.Course:
    return heaps.course(heaps.PALLETS, heaps.USUAL, PLACES[place], 60)


@cache
def turned(place: str) -> heaps.Course:
    actions = [heaps.moved(day, 25.0) for day in TURNS]
    return heaps.course(heaps.PALLETS, heaps.USUAL, PLACES[place], 60, actions)


@pytest.mark.parametrize("place", PLACES)
def test_usual_heap_is_hot_within_three_days(place: str) -> None:
    assert alone(place).days_to(55.0) <= 3.0
    assert 55.0 <= alone(place).peak <= 77.0


@pytest.mark.parametrize("place", PLACES)
def test_usual_heap_left_alone_dries_and_falls_within_two_weeks(place: str) -> None:
    heap = alone(place)
    assert heap.at_day(14) < 45.0 < heap.at_day(4)
    assert heap.core_moisture(14) < 0.40 < heap.core_moisture(2)


@pytest.mark.parametrize("place", PLACES)
def test_early_turn_with_water_reheats_and_a_late_one_does_not(place: str) -> None:
    early = heaps.course(
        heaps.PALLETS, heaps.USUAL, PLACES[place], 14, [heaps.moved(7, 30.0)]
    ).reheating(7, 2)
    late = turned(place).reheating(TURNS[-1], 3)
    assert early >= 4.0
    assert late <= 1.0


@pytest.mark.parametrize("place", PLACES)
def test_turned_and_wetted_heap_rots_further_than_one_left_alone(place: str) -> None:
    assert turned(place).solids_lost(60) > alone(place).solids_lost(60) + 0.05
    assert 0.35 < turned(place).solids_lost(60) < 0.65


@pytest.mark.parametrize("place", PLACES)
def test_small_heap_of_the_same_stuff_stays_cooler(place: str) -> None:
    small = BinShape(0.48, 0.48, 0.48, Wall.PALLETS, Cover.BROWN_CAP, 0.7)
    eighth = replace(
        heaps.USUAL,
        wet_mass_kg=heaps.USUAL.wet_mass_kg / 8,
        volume_m3=heaps.USUAL.volume_m3 / 8,
    )
    assert heaps.course(small, eighth, PLACES[place], 14).peak < alone(place).peak - 5.0


@pytest.mark.parametrize("side_m, mean_c", [(1.0, 5.0), (0.5, 8.0), (0.5, 15.0), (1.0, 25.0)])
def test_woody_waste_must_not_heat(side_m: float, mean_c: float) -> None:
    shape = BinShape(side_m, side_m, side_m, Wall.PALLETS, Cover.BROWN_CAP, 0.3)
    woody = replace(
        heaps.USUAL,
        wet_mass_kg=250.0 * shape.volume_m3,
        volume_m3=shape.volume_m3,
        moisture=0.45,
        fast_share=0.02,
        medium_share=0.15,
        c_to_n=120.0,
    )
    heap = heaps.course(shape, woody, {**heaps.MILD, "mean_c": mean_c}, 30)
    assert heap.peak < 45.0
    assert float(heap.run.temperature_c[:, 0].max()) < 50.0


def test_unturned_core_dries_under_a_wetter_crust() -> None:
    moisture = alone("mild").run.moisture
    assert moisture[30 * 24, 0, -1] > moisture[30 * 24, 0, 5] + 0.1
