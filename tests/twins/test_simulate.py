"""The command `simulate` and the heap model called directly are two doors to one run."""

from __future__ import annotations

import json
from dataclasses import astuple, replace
from typing import Any

import numpy as np
import pytest

from heapwright.heap.probe import probe_temperature
from heapwright.heap.simulate import FINE_GRID, simulate
from heapwright.heap.types import (
    ActionKind,
    BinShape,
    Cover,
    Fill,
    Ground,
    HeapAction,
    HeapRun,
    Wall,
)
from heapwright.sanitation import shares
from heapwright.validation.climate import case_weather
from heapwright.workshop.mix import mix_words
from heapwright.workshop.scenario.read import read_scenario
from heapwright.workshop.simulate import SEED
from tests.workshop.cli_terminal import Terminal, a_terminal

SHAPE = BinShape(1.0, 0.8, 0.9, Wall.SLATS, Cover.TARP, 0.4, Ground.SLAB)
NEXT = BinShape(0.9, 0.9, 1.0, Wall.WIRE, Cover.OPEN, 0.4, Ground.SOIL, is_round=True)
FILL = Fill(250.0, 0.62, 0.65, 0.13, 0.18, 0.37, 29.0, temperature_c=12.0)
ADDED = Fill(20.0, 0.7, 0.04, 0.1, 0.4, 0.3, 18.0)
ACTIONS = (
    HeapAction(60.0, ActionKind.STIR, water_kg=8.0),
    HeapAction(96.0, ActionKind.MOVE, new_bin=NEXT),
    HeapAction(100.0, ActionKind.WET, water_kg=5.0),
    HeapAction(120.0, ActionKind.ADD, fill=ADDED),
    HeapAction(121.0, ActionKind.COVER, cover=Cover.LID),
)
WEATHER = {
    "days": 8,
    "mean_c": 14.0,
    "swing_c": 6.0,
    "humidity": 0.55,
    "wind_m_s": 2.5,
    "sun_w_m2": 500.0,
    "starts_at": 9.0,
}
SCENARIO: dict[str, Any] = {
    "bin": {
        "shape": "square", "width_m": 1.0, "depth_m": 0.8, "height_m": 0.9,
        "wall": "slats", "cover": "tarp", "ground": "slab", "shade": 0.4,
    },
    "fill": {
        "wet_mass_kg": 250, "moisture": 0.62, "volume_m3": 0.65, "volatile_solids": 0.87,
        "fast_share": 0.18, "medium_share": 0.37, "c_to_n": 29, "temperature_c": 12,
    },
    "weather": {
        "constant": {
            "mean_c": 14, "daily_swing_k": 6, "relative_humidity": 0.55, "wind_m_s": 2.5,
            "sun_noon_w_m2": 500, "starts_at_hour": 9,
        }
    },
    "actions": [
        {"do": "cover", "hour": 121, "cover": "lid"},
        {"do": "stir", "day": 2.5, "water_l": 8},
        {
            "do": "move", "day": 4,
            "new_bin": {
                "shape": "round", "diameter_m": 0.9, "height_m": 1.0, "wall": "wire",
                "cover": "open", "ground": "soil", "shade": 0.4,
            },
        },
        {"do": "wet", "hour": 100, "water_l": 5},
        {
            "do": "add", "day": 5,
            "fill": {
                "wet_mass_kg": 20, "moisture": 0.7, "bulk_density_kg_m3": 500, "c_to_n": 18,
                "volatile_solids": 0.9, "fast_share": 0.4, "medium_share": 0.3,
            },
        },
    ],
    "probes": [{"name": "core", "depth_m": 0.4}, {"name": "side", "depth_m": 0.3,
                                                  "radius_fraction": 0.8}],
    "days": 8,
}  # fmt: skip


@pytest.fixture(scope="module")
def run() -> HeapRun:
    return simulate(SHAPE, FILL, case_weather(WEATHER), ACTIONS, **FINE_GRID)


@pytest.fixture(scope="module")
def answer(tmp_path_factory: pytest.TempPathFactory) -> Any:
    with pytest.MonkeyPatch.context() as patch:
        terminal: Terminal = a_terminal(tmp_path_factory.mktemp("home"), patch)
        return terminal.json("simulate", "-", typed=json.dumps(SCENARIO))


def test_scenario_is_read_as_the_model_takes_it() -> None:
    scenario = read_scenario(SCENARIO)
    assert scenario.shape == SHAPE
    assert astuple(scenario.fill) == pytest.approx(astuple(FILL))
    in_time = sorted(scenario.actions, key=lambda action: action.hour)
    assert [replace(action, fill=None) for action in in_time] == [
        replace(action, fill=None) for action in ACTIONS
    ]
    assert in_time[3].fill is not None
    assert astuple(in_time[3].fill)[:-1] == pytest.approx(astuple(ADDED)[:-1])


def test_thermometers_read_what_the_model_gives(run: HeapRun, answer: Any) -> None:
    for probe in answer["probes"]:
        reads = probe_temperature(run, probe["depth_m"], probe["radius_fraction"])
        assert probe["temperature_c"] == pytest.approx(list(reads), abs=0.005 + 1e-9)


@pytest.mark.parametrize(
    "name", ["height_m", "volume_m3", "dry_mass_kg", "water_kg", "nitrogen_kg"]
)
def test_hourly_columns_are_the_runs(run: HeapRun, answer: Any, name: str) -> None:
    assert answer["hourly"][name] == pytest.approx(list(getattr(run, name)), abs=1e-4)


def test_means_are_those_of_the_cells(run: HeapRun, answer: Any) -> None:
    weights = run.cell_share
    for hour in (0, 50, 192):
        mean = float(np.average(run.temperature_c[hour], weights=weights))
        assert answer["hourly"]["mean_c"][hour] == pytest.approx(mean, abs=0.006)
        least = float(run.oxygen[hour].min())
        assert answer["hourly"]["least_oxygen_share"][hour] == pytest.approx(least, abs=1e-4)


@pytest.mark.parametrize(
    "name",
    [
        "heat_released_j",
        "heat_with_air_j",
        "heat_through_side_j",
        "heat_through_top_j",
        "heat_into_ground_j",
        "heat_lost_turning_j",
    ],
)
def test_heat_is_the_ledgers(run: HeapRun, answer: Any, name: str) -> None:
    assert answer["hourly"][name] == pytest.approx(list(getattr(run.ledger, name)), abs=51.0)


def test_rule_shares_are_those_of_the_run(run: HeapRun, answer: Any) -> None:
    found = shares(run, FILL.c_to_n, [60, 96], np.random.default_rng(SEED))
    assert [one["share"] for one in answer["rule_shares"]] == [one.share for one in found]
    assert [one["rule_id"] for one in answer["rule_shares"]] == [one.rule_id for one in found]


def test_materials_in_words_become_the_mixture_of_mix() -> None:
    parts = [("6 leaf bags", "dry leaves"), ("4 pails", "grass clippings")]
    scenario = read_scenario(
        SCENARIO
        | {
            "fill": {
                "materials": [{"amount": a, "material": m} for a, m in parts],
                "target_moisture": 0.55,
            }
        }
    )
    likely = mix_words(parts, 0.55).mixture.likely
    fill = scenario.fill
    assert fill.wet_mass_kg == pytest.approx(likely.mass_kg + likely.water_to_add_kg)
    assert fill.moisture == pytest.approx(0.55)
    assert fill.c_to_n == pytest.approx(likely.c_to_n)
    assert fill.fast_share == pytest.approx(likely.fast_share)
    dry = fill.wet_mass_kg * (1.0 - fill.moisture)
    assert dry == pytest.approx(likely.dry_mass_kg)
    assert fill.ash_dry * dry == pytest.approx(likely.ash_kg)


def test_rows_of_a_steady_day_are_the_steady_day() -> None:
    series = case_weather(WEATHER)
    rows = [
        {
            "temperature_c": float(series.temperature_c[hour]),
            "relative_humidity": float(series.relative_humidity[hour]),
            "wind_m_s": float(series.wind_m_s[hour]),
            "sun_w_m2": float(series.sun_w_m2[hour]),
            "rain_mm": float(series.rain_mm[hour]),
        }
        for hour in range(series.hours)
    ]
    by_rows = read_scenario(SCENARIO | {"weather": {"hours": rows}}).weather
    by_day = read_scenario(SCENARIO).weather
    for name in ("temperature_c", "relative_humidity", "wind_m_s", "sun_w_m2", "rain_mm"):
        assert np.array_equal(getattr(by_rows, name), getattr(by_day, name))
