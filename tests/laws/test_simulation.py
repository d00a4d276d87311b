"""What `simulate` prints adds up: water, dry matter, nitrogen, carbon and heat, as printed."""

from __future__ import annotations

import io
import json
import re
from contextlib import redirect_stdout
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heapwright.cli import screen
from heapwright.heap.parameters import load_parameters
from heapwright.sentences import Reader
from heapwright.workshop.scenario.read import read_scenario
from heapwright.workshop.simulate import (
    core_weights,
    edge_weights,
    run_of,
    simulate_document,
)
from heapwright.workshop.simulation_plain import simulation_plain, simulation_schema

#: Endings of names that tell a number's unit (or that it has none).
UNITS = re.compile(
    r"_(h|c|m|m2|m3|kg|j|w|share|ratio|fraction|days|wanted|period)$|^(share|c_to_n)$"
)
NUMBERS = load_parameters()


@st.composite
def scenarios(draw: st.DrawFn) -> dict[str, Any]:
    """Return a heap with any weather and a few actions."""
    share = st.floats(0.1, 0.9)
    fill = {
        "wet_mass_kg": draw(st.floats(180.0, 500.0)),
        "moisture": draw(st.floats(0.35, 0.7)),
        "c_to_n": draw(st.floats(12.0, 60.0)),
        "fast_share": draw(st.floats(0.0, 0.4)),
        "medium_share": draw(st.floats(0.0, 0.5)),
    }
    added = {"wet_mass_kg": 15, "moisture": 0.7, "c_to_n": 18, "bulk_density_kg_m3": 450}
    actions = [
        {"do": draw(st.sampled_from(["stir", "move"])), "hour": draw(st.integers(1, 90))},
        {"do": "wet", "hour": draw(st.integers(0, 90)), "water_l": draw(st.floats(0.0, 60.0))},
        {"do": "add", "hour": draw(st.integers(1, 90)), "fill": added},
    ]
    weather = {
        "mean_c": draw(st.floats(-15.0, 35.0)),
        "daily_swing_k": draw(st.floats(0.0, 10.0)),
        "relative_humidity": draw(share),
        "rain_mm_per_day": draw(st.floats(0.0, 20.0)),
        "wind_m_s": draw(st.floats(0.0, 8.0)),
    }
    return {
        "bin": {"width_m": 1.0, "height_m": 1.0, "cover": draw(st.sampled_from(["open", "lid"]))},
        "fill": fill,
        "weather": {"constant": weather},
        "actions": actions[: draw(st.integers(0, 3))],
        "days": 4,
        "grid": "usual",
    }


def printed(scenario: dict[str, Any]) -> Any:
    return simulation_plain(simulate_document(scenario), Reader())


@settings(max_examples=25)
@given(scenarios())
def test_printed_balances_close_within_their_rounding(scenario: dict[str, Any]) -> None:
    found = printed(scenario)
    totals = found["totals"]
    came = sum(totals[f"water_{n}_kg"] for n in ("in_fills", "given", "rain", "made"))
    went = sum(totals[f"water_{n}_kg"] for n in ("evaporated", "drained", "left"))
    assert came == pytest.approx(went, abs=7 * 0.5e-4 + 1e-9)
    assert totals["dry_mass_in_kg"] == pytest.approx(
        totals["dry_mass_left_kg"] + totals["dry_mass_lost_kg"], abs=1.5e-4 + 1e-9
    )
    nitrogen = sum(
        totals[name]
        for name in ("ammonia_nitrogen_lost_kg", "nitrogen_drained_kg", "nitrogen_left_kg")
    )
    assert totals["nitrogen_in_kg"] == pytest.approx(nitrogen, abs=2e-5 + 1e-9)
    assert totals["nitrogen_in_kg"] == pytest.approx(nitrogen_put_in(scenario), rel=1e-4)
    assert found["balance_error_share"] < 1e-9


def nitrogen_put_in(scenario: dict[str, Any]) -> float:
    """Return the nitrogen of everything put in, by hand. [kg]"""
    fills = [scenario["fill"]] + [a["fill"] for a in scenario["actions"] if "fill" in a]
    solids = [fill["wet_mass_kg"] * (1 - fill["moisture"]) * 0.88 for fill in fills]
    carbon = [NUMBERS.carbon_of_solids * kg for kg in solids]
    return sum(kg / fill["c_to_n"] for kg, fill in zip(carbon, fills, strict=True))


@settings(max_examples=25)
@given(scenarios())
def test_heat_set_free_is_gone_or_stored_in_every_hour(scenario: dict[str, Any]) -> None:
    hourly = {name: np.array(column) for name, column in printed(scenario)["hourly"].items()}
    went = sum(
        hourly[f"heat_{way}_j"]
        for way in (
            "with_air",
            "through_side",
            "through_top",
            "into_ground",
            "lost_turning",
            "stored",
        )
    )
    assert np.abs(hourly["heat_released_j"] - went).max() <= 7 * 50.0 + 1.0
    decayed = hourly["carbon_dioxide_carbon_lost_kg"] / NUMBERS.carbon_of_solids
    heat = NUMBERS.heat_per_oxygen_j_kg * NUMBERS.oxygen_per_solids * decayed
    rounding = (
        0.5e-4
        / NUMBERS.carbon_of_solids
        * NUMBERS.heat_per_oxygen_j_kg
        * (NUMBERS.oxygen_per_solids)
    )
    assert np.abs(hourly["heat_released_j"] - heat).max() <= rounding + 51.0


@pytest.mark.parametrize("mean_c", [-5.0, 20.0])
def test_heat_stored_is_the_warmth_of_what_lies_there(mean_c: float) -> None:
    """Without rain, water or turning: within 1 % of the heat set free, of mass times warmth."""
    found = printed(
        {
            "bin": {"width_m": 1.0, "height_m": 1.0},
            "fill": {"wet_mass_kg": 350, "moisture": 0.6, "c_to_n": 30},
            "weather": {"constant": {"mean_c": mean_c, "daily_swing_k": 3}},
            "days": 20,
            "grid": "usual",
        }
    )
    hourly = {name: np.array(column) for name, column in found["hourly"].items()}
    capacity = (
        NUMBERS.solids_heat_j_kg_k * hourly["dry_mass_kg"]
        + NUMBERS.water_heat_j_kg_k * hourly["water_kg"]
    )
    warmth = capacity * hourly["mean_c"]
    off = hourly["heat_stored_j"] - (warmth - warmth[0])
    assert np.abs(off).max() <= 0.01 * hourly["heat_released_j"][-1]
    assert np.ptp(hourly["heat_stored_j"]) > 10 * np.abs(off).max()


@settings(max_examples=15)
@given(scenarios())
def test_what_is_gone_never_comes_back_and_oxygen_keeps_its_bounds(
    scenario: dict[str, Any],
) -> None:
    found = printed(scenario)
    hourly = {name: np.array(column) for name, column in found["hourly"].items()}
    for name in ("dry_mass_lost_kg", "water_drained_kg", "ammonia_nitrogen_lost_kg"):
        assert hourly[name][0] == 0.0
        assert (np.diff(hourly[name]) >= -1.1e-4).all()
    assert (hourly["least_oxygen_share"] <= hourly["core_oxygen_share"] + 1e-4).all()
    assert ((hourly["least_oxygen_share"] >= 0.0) & (hourly["core_oxygen_share"] <= 0.21)).all()
    for rule in found["rule_shares"]:
        assert 0.0 <= rule["share"] <= 1.0


@pytest.mark.parametrize("grid", ["usual", "fine"])
@pytest.mark.parametrize("width_m", [0.5, 1.0, 2.0])
def test_core_lies_inside_and_edge_outside(grid: str, width_m: float) -> None:
    scenario = read_scenario(
        {
            "bin": {"width_m": width_m, "height_m": 1.0},
            "fill": {"wet_mass_kg": 350 * width_m**2, "moisture": 0.6, "c_to_n": 30},
            "weather": {"constant": {"mean_c": 15}},
            "days": 0.1,
            "grid": grid,
        }
    )
    run = run_of(scenario)
    core, edge = core_weights(run), edge_weights(run, scenario.shape)
    for weights in (core, edge):
        assert weights.sum() == pytest.approx(1.0)
        assert (weights >= 0.0).all()
    middle = core.shape[1] // 2
    assert core[0, middle] > 0.0 and edge[0, middle] == 0.0
    assert edge[-1, middle] > 0.0 and core[-1, middle] == 0.0
    assert edge[0, -1] > 0.0 and edge[0, 0] == 0.0  # the top, not the foot
    # A hand's breadth, 0.1 m, of side and top: the share of a cylinder that lies so near.
    radius_m = width_m / np.sqrt(np.pi)
    shell = 1.0 - (1.0 - 0.1 / radius_m) ** 2 * 0.9
    assert run.cell_share[edge > 0.0].sum() == pytest.approx(shell, abs=0.12)


def names_with_numbers(schema: dict[str, Any]) -> list[str]:
    found = []
    for name, told in schema["properties"].items():
        items = told.get("items", {})
        if "number" in (told.get("type"), items.get("type")):
            found.append(name)
        for part in (told, items):
            if part.get("type") == "object":
                found += names_with_numbers(part)
    return found


def test_every_number_of_the_answer_has_its_unit_in_its_name() -> None:
    schema = simulation_schema()
    parts = {name: schema["properties"][name] for name in ("hourly", "totals", "probes")}
    named = names_with_numbers({"properties": parts})
    assert len(named) > 50
    assert [name for name in named if not UNITS.search(name)] == []


@given(
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False)
        | st.text(),
        lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
        max_leaves=12,
    )
)  # fmt: skip
def test_long_json_is_written_as_it_is(value: Any) -> None:
    written = io.StringIO()
    with redirect_stdout(written):
        screen.put_long_json(value)
    assert json.loads(written.getvalue()) == value


def test_same_scenario_has_the_same_answer() -> None:
    scenario = {
        "bin": {"width_m": 1.0, "height_m": 1.0},
        "fill": {"wet_mass_kg": 350, "moisture": 0.6, "c_to_n": 30},
        "weather": {"constant": {"mean_c": 20}},
        "days": 3,
    }
    assert printed(scenario) == printed(scenario)
