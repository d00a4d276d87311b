"""Heat by parcels against the heat that the compiled kernel counts for its cells."""

from __future__ import annotations

import numpy as np
import pytest

from heapwright.heap.parameters import load_parameters
from heapwright.heap.simulate import simulate, simulate_ensemble
from heapwright.heap.types import ActionKind, HeapAction
from heapwright.sanitation import times
from heapwright.sanitation.parcels import follow
from tests.laws.heap_courses import DAY, PALLET_BIN, fill, weather

WANTED_HOURS = 72.0
DAYS = 16
HEAP = fill(0.9, fast=0.16)
AIR = weather(DAYS, 18.0)
MOVED = tuple(HeapAction(day * DAY, ActionKind.MOVE, 8.0) for day in (3.0, 7.0, 11.0))
STIRRED = tuple(HeapAction(day * DAY, ActionKind.STIR) for day in (4.0, 8.0))
ADDED = (HeapAction(6.0 * DAY, ActionKind.ADD, fill=fill(0.15)),)
COURSES = {"left": (), "moved": MOVED, "stirred": STIRRED, "added": ADDED}


def by_parcels(actions: tuple[HeapAction, ...]) -> tuple[float, float, float]:
    """Mean hours at 55 °C and the share with 72 of them, and the kernel's own mean."""
    run = simulate(PALLET_BIN, HEAP, AIR, actions)
    parcels = follow(run, np.random.default_rng(5), 4000)
    spent = times.hours_within(parcels.temperature_c, 55.0).sum(axis=0)
    kernel = float((run.hours_above_55_c * run.cell_share).sum())
    return float(spent @ parcels.weight), parcels.share(spent >= WANTED_HOURS), kernel


def by_kernel(actions: tuple[HeapAction, ...]) -> float:
    numbers = load_parameters().to_array()[None, :]
    return float(
        simulate_ensemble(PALLET_BIN, HEAP, AIR, actions, numbers, probe_depth_m=0.4).hot_share[0]
    )


def test_without_turns_every_parcel_has_the_hours_of_its_cell() -> None:
    """Both count the same straight lines; the kernel cuts a few steep hours into shorter steps."""
    run = simulate(PALLET_BIN, HEAP, AIR)
    parcels = follow(run, np.random.default_rng(5), 2000)
    spent = times.hours_within(parcels.temperature_c, 55.0).sum(axis=0)
    ends = run.temperature_c[-1].ravel()
    places = np.argmin(np.abs(parcels.temperature_c[-1][:, None] - ends), axis=1)
    assert run.hours_above_55_c.max() > WANTED_HOURS
    assert np.abs(spent - run.hours_above_55_c.ravel()[places]).max() < 0.05


@pytest.mark.parametrize("actions", COURSES.values(), ids=COURSES)
def test_mean_hours_hot_agree_with_the_kernels(actions: tuple[HeapAction, ...]) -> None:
    parcels, _, kernel = by_parcels(actions)
    assert parcels == pytest.approx(kernel, rel=0.02)


@pytest.mark.parametrize("actions", COURSES.values(), ids=COURSES)
def test_share_hot_for_three_days_agrees_with_the_kernels(actions: tuple[HeapAction, ...]) -> None:
    """The kernel mixes the hours of what has not met them into one mean at each turn."""
    _, share, _ = by_parcels(actions)
    assert share == pytest.approx(by_kernel(actions), abs=0.03)


def test_the_usual_number_of_parcels_is_good_to_a_point_in_a_hundred() -> None:
    run = simulate(PALLET_BIN, HEAP, AIR, MOVED)
    found = [
        parcels.share(times.hours_within(parcels.temperature_c, 55.0).sum(axis=0) >= WANTED_HOURS)
        for parcels in (follow(run, np.random.default_rng(seed)) for seed in range(12))
    ]
    assert float(np.std(found)) < 0.01
