"""Answers how a heap told in a scenario would go: runs the model and takes stock hour by hour.

Knows which columns an answer has and how they follow from a run. Knows no physics (`heap`) and no
rule of heat (`sanitation`).
"""

from __future__ import annotations

from typing import Any

import numpy as np

from heapwright.advice import phrases
from heapwright.advice.signs import limits
from heapwright.errors import HeapwrightError
from heapwright.heap.layout import CORE_HALF_HEIGHT, CORE_RADIUS, middles
from heapwright.heap.parameters import Parameters, load_parameters, parameter_estimates
from heapwright.heap.types import ActionKind, BinShape, Fill, HeapRun
from heapwright.sanitation import RuleShare, shares
from heapwright.sentences import Measure, Sentence, Value, say, temperature
from heapwright.tables import Evidence
from heapwright.workshop.history import settings_table
from heapwright.workshop.scenario.faults import KEPT
from heapwright.workshop.scenario.read import read_scenario
from heapwright.workshop.scenario.types import Asker, ProbePlace, Scenario, usual
from heapwright.workshop.simulation import FloatArray, Hourly, ProbeCourse, Simulation, Totals

#: Parcels of the rules' shares are drawn with this seed, so that one scenario has one answer.
SEED = 0
_SAVED = HeapwrightError("").kept
_TURNS = (ActionKind.STIR, ActionKind.MOVE)


def simulate_document(document: str | dict[str, Any], asker: Asker | None = None) -> Simulation:
    """Return how the heap of a scenario would go.

    Parameters
    ----------
    document : str or dict
        The JSON text, or what it holds: see `docs/how-to.md`.
    asker : Asker, optional
        Whose containers and units the words mean, and where files lie.

    Raises
    ------
    HeapwrightError
        Naming the place and the value that cannot be.

    """
    try:
        return simulate_scenario(read_scenario(document, asker))
    except HeapwrightError as problem:
        if problem.kept == _SAVED:  # there was nothing to save
            problem.kept = KEPT
        raise


def simulate_scenario(scenario: Scenario) -> Simulation:
    """Return how a scenario's heap would go by the model's typical numbers.

    Raises
    ------
    OutOfRange
        If an input cannot be true of a heap.

    """
    run = run_of(scenario)
    numbers = load_parameters()
    probes = tuple(_probe_course(run, place) for place in scenario.probes)
    return Simulation(
        start=scenario.start,
        bin=scenario.shape,
        fill=scenario.fill,
        weather_source=scenario.weather.source,
        actions=scenario.actions,
        probes=probes,
        hourly=hourly(run, scenario, numbers),
        totals=totals(run, scenario, numbers),
        rule_shares=_rule_shares(run, scenario),
        balance_error_share=run.worst_balance_error,
        assumed=tuple(scenario.said.assumed),
        notes=(*scenario.said.notes, *_notes()),
        cautions=_cautions(run, scenario),
    )


def run_of(scenario: Scenario) -> HeapRun:
    """Return the model's run of a scenario."""
    from heapwright.heap.simulate import FINE_GRID, simulate

    grid: dict[str, Any] = dict(FINE_GRID) if scenario.fine else {}
    return simulate(scenario.shape, scenario.fill, scenario.weather, scenario.actions, **grid)


def hourly(run: HeapRun, scenario: Scenario, numbers: Parameters) -> Hourly:
    """Return the run's columns, each of shape (hours+1,)."""
    core, edge = core_weights(run), edge_weights(run, scenario.shape)
    ledger, air = run.ledger, scenario.weather.temperature_c
    dry_in, solids_in = brought_in(run, scenario)
    gone_j = (
        ledger.heat_with_air_j
        + ledger.heat_through_side_j
        + ledger.heat_through_top_j
        + ledger.heat_into_ground_j
        + ledger.heat_lost_turning_j
    )
    return Hourly(
        time_h=np.arange(run.hours + 1, dtype=np.float64),
        air_c=np.append(air, air[-1]),
        core_c=_mean(run.temperature_c, core),
        edge_c=_mean(run.temperature_c, edge),
        mean_c=_mean(run.temperature_c, run.cell_share),
        core_oxygen_share=_mean(run.oxygen, core),
        least_oxygen_share=run.oxygen.min(axis=(1, 2)),
        core_moisture_share=_mean(run.moisture, core),
        edge_moisture_share=_mean(run.moisture, edge),
        mean_moisture_share=run.water_kg / (run.water_kg + run.dry_mass_kg),
        height_m=run.height_m,
        volume_m3=run.volume_m3,
        dry_mass_kg=run.dry_mass_kg,
        dry_mass_lost_kg=dry_in - run.dry_mass_kg,
        water_kg=run.water_kg,
        water_evaporated_kg=ledger.water_evaporated_kg,
        water_drained_kg=ledger.water_drained_kg,
        carbon_dioxide_carbon_lost_kg=(
            numbers.carbon_of_solids * (solids_in - run.volatile_solids_kg)
        ),
        nitrogen_kg=run.nitrogen_kg,
        ammonia_nitrogen_lost_kg=ledger.ammonia_lost_kg,
        nitrogen_drained_kg=ledger.nitrogen_drained_kg,
        heat_released_j=ledger.heat_released_j,
        heat_with_air_j=ledger.heat_with_air_j,
        heat_through_side_j=ledger.heat_through_side_j,
        heat_through_top_j=ledger.heat_through_top_j,
        heat_into_ground_j=ledger.heat_into_ground_j,
        heat_lost_turning_j=ledger.heat_lost_turning_j,
        heat_stored_j=ledger.heat_released_j - gone_j,
    )


def totals(run: HeapRun, scenario: Scenario, numbers: Parameters) -> Totals:
    """Return what came in, what left and what is there at the end of a run."""
    dry_in, solids_in = (float(values[-1]) for values in brought_in(run, scenario))
    solids_left, nitrogen_left = float(run.volatile_solids_kg[-1]), float(run.nitrogen_kg[-1])
    solids_lost = solids_in - solids_left
    ledger = run.ledger
    nitrogen_gone = float(ledger.ammonia_lost_kg[-1] + ledger.nitrogen_drained_kg[-1])
    return Totals(
        run_h=float(run.hours),
        dry_mass_in_kg=dry_in,
        dry_mass_left_kg=float(run.dry_mass_kg[-1]),
        dry_mass_lost_kg=dry_in - float(run.dry_mass_kg[-1]),
        volatile_solids_lost_share=solids_lost / solids_in if solids_in > 0 else 0.0,
        water_in_fills_kg=sum(fill.wet_mass_kg * fill.moisture for _, fill in _fills(scenario)),
        water_given_kg=run.water_added_kg,
        water_rain_kg=run.water_rain_kg,
        water_made_kg=numbers.water_per_solids * solids_lost,
        water_evaporated_kg=run.water_evaporated_kg,
        water_drained_kg=run.water_drained_kg,
        water_left_kg=float(run.water_kg[-1]),
        carbon_dioxide_carbon_lost_kg=numbers.carbon_of_solids * solids_lost,
        nitrogen_in_kg=nitrogen_left + nitrogen_gone,
        ammonia_nitrogen_lost_kg=float(ledger.ammonia_lost_kg[-1]),
        nitrogen_drained_kg=float(ledger.nitrogen_drained_kg[-1]),
        nitrogen_left_kg=nitrogen_left,
        volume_at_first_m3=float(run.volume_m3[0]),
        volume_left_m3=float(run.volume_m3[-1]),
        c_to_n_left_ratio=numbers.carbon_of_solids * solids_left / max(nitrogen_left, 1e-12),
    )


def brought_in(run: HeapRun, scenario: Scenario) -> tuple[FloatArray, FloatArray]:
    """Return the dry mass and the volatile solids put in so far, each of shape (hours+1,). [kg]

    What is added in an hour shows from the hour after it, as in the run.
    """
    dry, solids = np.zeros(run.hours + 1), np.zeros(run.hours + 1)
    for hour, fill in _fills(scenario):
        kg = fill.wet_mass_kg * (1.0 - fill.moisture)
        dry[hour:] += kg
        solids[hour:] += kg * (1.0 - fill.ash_dry)
    return dry, solids


def _fills(scenario: Scenario) -> list[tuple[int, Fill]]:
    """Return every fill with the first hour that shows it."""
    added = [
        (int(action.hour) + 1, action.fill)
        for action in scenario.actions
        if action.fill is not None
    ]
    return [(0, scenario.fill), *added]


def core_weights(run: HeapRun) -> FloatArray:
    """Return the share of the core's volume in each cell, as the heap's own books count it."""
    from_axis = run.radius_m / run.radius_edges_m[-1]
    from_middle = np.abs(middles(run.level_edges) - 0.5)
    inside = (from_axis <= CORE_RADIUS)[:, None] & (from_middle <= CORE_HALF_HEIGHT)[None, :]
    return _weights(run, inside)


def edge_weights(run: HeapRun, shape: BinShape) -> FloatArray:
    """Return the share of the edge's volume in each cell: near the side or the top as built."""
    radius_m = np.sqrt(shape.plan_m2 / np.pi)
    from_side = radius_m * (1.0 - run.radius_m / run.radius_edges_m[-1])
    from_top = run.height_m[0] * (1.0 - middles(run.level_edges))
    deep = usual()["edge_m"]
    inside = (from_side <= deep)[:, None] | (from_top <= deep)[None, :]
    inside[-1, :] = True  # however thick the cells are, the outermost are the edge
    return _weights(run, inside)


def _weights(run: HeapRun, inside: Any) -> FloatArray:
    share = np.where(inside, run.cell_share, 0.0)
    return np.asarray(share / share.sum())


def _mean(values: FloatArray, weights: FloatArray) -> FloatArray:
    return np.asarray((values * weights).sum(axis=(1, 2)))


def _probe_course(run: HeapRun, place: ProbePlace) -> ProbeCourse:
    from heapwright.heap.probe import probe_temperature

    reads = probe_temperature(run, place.depth_m, place.radius_fraction)
    hot = settings_table()["hot_share_c"]
    return ProbeCourse(
        name=place.name,
        depth_m=place.depth_m,
        radius_fraction=place.radius_fraction,
        peak_c=float(reads.max()),
        peak_at_h=float(np.argmax(reads)),
        time_at_55_c_or_more_h=float(np.count_nonzero(reads[1:] >= hot)),
        temperature_c=reads,
    )


def _rule_shares(run: HeapRun, scenario: Scenario) -> tuple[RuleShare, ...]:
    turned = [int(action.hour) for action in scenario.actions if action.kind in _TURNS]
    return shares(run, scenario.fill.c_to_n, sorted(turned), np.random.default_rng(SEED))


def _notes() -> tuple[Sentence, ...]:
    marks = [estimate.evidence for estimate in parameter_estimates().values()]
    fitted, recalled = marks.count(Evidence.DERIVED), marks.count(Evidence.MEMORY)
    return (
        say(
            "Of the model's {all} numbers {fitted} were derived, most by fitting to measured "
            "heaps, and {recalled} are from memory: take this as a shape, not as a measurement.",
            all=Value(len(marks), Measure.COUNT),
            fitted=Value(fitted, Measure.COUNT),
            recalled=Value(recalled, Measure.COUNT),
        ),
        say(
            "It is one run with the likely numbers; `heapwright validate` shows how near such "
            "runs come to heaps that were measured."
        ),
    )


def _cautions(run: HeapRun, scenario: Scenario) -> tuple[Sentence, ...]:
    found: list[Sentence] = []
    watched = limits()["watch_fire_c"]
    if float(run.temperature_c.max()) >= watched:
        found.append(
            say("It passes {limit}, where a heap is watched for fire.", limit=temperature(watched))
        )
        found += phrases.FIRE
    if any(action.kind in (*_TURNS, ActionKind.ADD) for action in scenario.actions):
        found += [*phrases.STEAM, *phrases.FORKING, *phrases.HANDLING]
    if any(action.water_kg > 0.0 for action in scenario.actions):
        found += phrases.WETTING
    once: list[Sentence] = []
    for sentence in (*found, *scenario.said.cautions, *_ALWAYS):
        if sentence not in once:
            once.append(sentence)
    return tuple(once)


_ALWAYS = (
    say("Heat in a home heap is no proof of hygiene, and a model's heat even less."),
    say("What your town, county or landlord says about composting comes first."),
)
