"""The heap model, untuned per case, against measured heaps of the open half (O1, O2, ...).

Bands, agreed before the model was run: time to 55 °C within 1 day, peak within 6 °C, days at
55 °C or more within 35 %, losses within 10 percentage points. A case that cannot be met stays as
a strict expected failure with both numbers.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from tests.published import heap_cases as cases

PEAK_BAND_K = 6.0
TIME_BAND_DAYS = 1.0
DAYS_HOT_BAND = 0.35
LOSS_BAND = 0.10


def near(value: float, measured: float, band: float) -> bool:
    return abs(value - measured) <= band


@cache
def o1() -> cases.Course:
    return cases.o1_cage()


@cache
def o2() -> cases.Course:
    return cases.o2_cage()


@cache
def turned() -> cases.Course:
    return cases.good_mix(84, 15.0, (6, 12, 18, 25, 32))


@cache
def alone() -> cases.Course:
    return cases.good_mix(60, 15.0)


def test_o1_tarped_cage_is_hot_within_a_day_and_reaches_75() -> None:
    assert o1().days_to(55.0) <= 1.0 + TIME_BAND_DAYS
    assert near(o1().peak, 75.6, PEAK_BAND_K)


def test_o1_turned_and_wetted_cage_stays_hot_for_four_weeks() -> None:
    assert near(o1().days_hot, 27.0, DAYS_HOT_BAND * 27.0)


def test_o1_readings_before_and_after_the_turn_of_day_10() -> None:
    assert near(o1().at_day(10), 57.2, PEAK_BAND_K)
    assert near(o1().at_day(11), 62.8, PEAK_BAND_K)
    assert o1().reheating(10, 1) > 0.0


def test_o1_spent_heap_does_not_come_back() -> None:
    assert o1().reheating(26, 3) <= 1.0
    assert near(o1().at_day(27), 52.2, PEAK_BAND_K)


@pytest.mark.xfail(
    strict=True,
    reason="O1, turn and rewetting of day 18: +8.4 K in 24 h measured, about -1.5 K here; the "
    "model's heap under its tarp was not dry, the measured one was",
)
def test_o1_dry_heap_turned_and_wetted_gains_8_kelvin() -> None:
    assert near(o1().reheating(18, 1), 8.4, PEAK_BAND_K)


def test_o2_vermont_cage_time_peak_and_volume() -> None:
    assert o2().days_to(55.0) <= 1.5 + TIME_BAND_DAYS
    assert near(o2().peak, 69.0, PEAK_BAND_K)
    volume = o2().run.volume_m3
    assert near(volume[7 * 24] / volume[0], 0.80, LOSS_BAND)


def test_o2_unturned_heap_is_hot_all_week() -> None:
    measured = 6.0  # hot from about day 1 until it was broken up, hot, on day 7
    assert near(o2().days_hot, measured, DAYS_HOT_BAND * measured)


@pytest.mark.xfail(
    strict=True,
    reason="O3, 55 °C between days 2 and 4 measured after cold mixing, about day 1 here; the "
    "model's organisms outlive a cold mixing",
)
def test_o3_cold_mixed_manure_takes_days_to_recover() -> None:
    assert near(cases.o3_manure_turned_cold().days_to(55.0), 3.5, TIME_BAND_DAYS)


def test_o5_manure_bin_on_days_4_and_7() -> None:
    heap = cases.o5_manure_bin()
    assert near(heap.at_day(4), 60.0, PEAK_BAND_K)
    assert near(heap.at_day(7), 65.6, PEAK_BAND_K)


@pytest.mark.xfail(
    strict=True,
    reason="O6, chopped leaves at 13 °C: 52.8 °C on day 7 measured, 32 °C here (peak 46 °C "
    "later); the low heap lights too slowly",
)
def test_o6_leaf_heap_on_day_7() -> None:
    assert near(cases.o6_leaf_heap().at_day(7), 52.8, PEAK_BAND_K)


def test_o6_leaf_heap_settles_by_a_sixth_in_a_week() -> None:
    height = cases.o6_leaf_heap().run.height_m
    assert near(1.0 - height[7 * 24] / height[0], 0.10 / 0.60, LOSS_BAND)


def test_o7_fresh_heap_is_hot_on_day_2() -> None:
    assert cases.good_mix(5, 18.0).days_to(55.0) <= 2.0 + TIME_BAND_DAYS


def test_o8_indoor_can_peaks_at_40_to_50() -> None:
    assert 40.0 - PEAK_BAND_K <= cases.o8_can().peak <= 50.0 + PEAK_BAND_K


def test_o9_stalk_bin_stays_below_55() -> None:
    heap = cases.o9_stalk_bin()
    assert near(heap.peak, 43.3, PEAK_BAND_K)


def test_o10_food_bin_temperature_and_mass_loss() -> None:
    heap = cases.o10_food_bin()
    assert 40.0 - PEAK_BAND_K <= heap.peak <= 57.0 + PEAK_BAND_K
    dry = heap.run.dry_mass_kg
    assert near(1.0 - dry[-1] / dry[0], 0.605, LOSS_BAND)


@pytest.mark.xfail(
    strict=True,
    reason="O13, chicken litter at 3 °C: 54 °C on day 2 measured, 9 °C here (peak near 60 °C "
    "later); started as cold as the air, the model needs four days to light",
)
def test_o13_litter_at_3_degrees_is_hot_on_day_2() -> None:
    assert near(cases.o13_litter_heap().at_day(2), 54.0, PEAK_BAND_K)


def test_o14_heap_reaches_55_in_the_first_days_of_frost() -> None:
    assert cases.o14_frost().days_to(55.0) <= 3.0 + TIME_BAND_DAYS


def test_o17_drum_of_100_litres_reaches_55() -> None:
    assert cases.o17_drum().peak >= 55.0


def test_o18_vessel_loses_a_quarter_to_a_third_in_45_days() -> None:
    lost = cases.o18_vessel().solids_lost(45)
    assert 0.237 - LOSS_BAND <= lost <= 0.298 + LOSS_BAND


@pytest.mark.xfail(
    strict=True,
    reason="O18, aerated vessel: 59 °C on day 2 measured, peak 44 °C here; air driven by a fan "
    "is not modelled, and the closed vessel's own draught starves",
)
def test_o18_vessel_peak() -> None:
    assert near(cases.o18_vessel().peak, 59.0, PEAK_BAND_K)


def test_o19_food_mix_loses_a_third_in_12_days() -> None:
    assert near(cases.o19_food_reactor().solids_lost(12), 0.33, LOSS_BAND)


def test_o21_turned_heap_loses_40_to_50_percent_of_volume_in_12_weeks() -> None:
    volume = turned().run.volume_m3
    assert 0.40 - LOSS_BAND <= 1.0 - volume[-1] / volume[0] <= 0.50 + LOSS_BAND


def test_good_mix_of_o1_size_at_30_degrees_heats_in_a_day_and_holds_a_week() -> None:
    heap = cases.hot_weather_cage()
    assert heap.days_to(55.0) < 1.0
    assert 65.0 <= heap.peak <= 77.0
    assert heap.days_hot >= 7.0


def test_good_cubic_metre_at_15_degrees_heats_in_2_days_then_falls() -> None:
    assert near(alone().days_to(55.0), 2.0, TIME_BAND_DAYS)
    assert 65.0 <= alone().peak <= 77.0
    assert alone().days_hot >= 7.0
    assert alone().at_day(14) < 55.0 and alone().at_day(28) < 40.0


def test_turn_reheats_a_fresh_heap_but_not_a_spent_one() -> None:
    for day in (6, 12):
        assert 2.0 <= turned().reheating(day, 1) <= 10.0
    for day in (25, 32):
        assert turned().reheating(day, 3) <= 1.5


def test_turns_raise_the_loss_in_60_days_from_a_third_towards_a_half() -> None:
    assert near(alone().solids_lost(60), 0.30, LOSS_BAND)
    assert near(turned().solids_lost(60), 0.50, LOSS_BAND)
    assert turned().solids_lost(60) > alone().solids_lost(60) + 0.05


def test_unturned_core_dries_under_a_wetter_crust() -> None:
    moisture = alone().run.moisture
    middle = moisture.shape[2] // 2
    assert moisture[0, 0, middle] == pytest.approx(0.60)
    assert moisture[-1, 0, middle] < 0.40
    assert moisture[-1, 0, -1] > moisture[-1, 0, middle] + 0.1


def test_eighth_of_a_cubic_metre_never_reaches_55() -> None:
    assert cases.small_cube().peak < 55.0


@pytest.mark.parametrize("volume_m3, mean_c", [(1.0, 5.0), (0.12, 15.0), (1.0, 25.0)])
def test_woody_waste_must_not_heat(volume_m3: float, mean_c: float) -> None:
    heap = cases.woody(volume_m3, mean_c)
    assert heap.peak < 40.0
    assert np.all(heap.run.temperature_c[:, 0] < 45.0)
