"""Heaps with one hidden fault each, run by the heap model on another grid with other numbers.

Knows how each fault is built in and how it is made sure that it is really there. Nothing here reads
the tables of `heapwright.diagnosis`. All spreads are our choice and stand below; the heap model is
the world, so faults it cannot make (rats, mats seen, weedkiller) lie in what is seen alone.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cache

import numpy as np

from heapwright.heap import layout
from heapwright.heap.parameters import PARAMETER_IDS, parameters_at, uncertain_parameters
from heapwright.heap.resume import Standing, built, go_on
from heapwright.heap.types import ActionKind, BinShape, Cover, EnsembleRun, Fill, HeapAction, Wall
from heapwright.weather.projection import on_dates
from heapwright.weather.series import WeatherSeries
from heapwright.weather_sources.climate import climate, climates

#: The truth's grid is finer than the diagnosis' own.
RADII, HEIGHTS = 8, 14
#: The truth's numbers lie evenly within so many standard deviations of the table's.
TRUTH_REACH = 1.5
MOST_TRIES = 40
MILD_C, FROST_C = 7.0, 1.0
#: Probe: so deep, but never below the middle of the heap. [m]
DEPTH_M = 0.45


@dataclass(frozen=True, slots=True)
class Hidden:
    """A heap with a fault, at the hour somebody asks what is wrong.

    Attributes
    ----------
    fault : str
        The cause's id.
    shape, fill, weather, actions
        The truth.
    hour : int
        Of the visit.
    depth_m : float
    run : EnsembleRun
        One member, up to the visit.
    standing : Standing

    """

    fault: str
    shape: BinShape
    fill: Fill
    weather: WeatherSeries
    actions: tuple[HeapAction, ...]
    hour: int
    depth_m: float
    run: EnsembleRun
    standing: Standing

    @property
    def moisture(self) -> float:
        """True moisture now."""
        return float(self.run.mean_moisture[-1, 0])

    @property
    def oxygen(self) -> float:
        """True oxygen in the core's pores now, share by volume."""
        cells = self.standing.state.cells[0, layout.OXYGEN]
        radii, heights = cells.shape
        return float(cells[: radii // 2, heights // 3 : 2 * heights // 3].mean())

    @property
    def food(self) -> float:
        """Degradable matter left, share of what was built in."""
        return float(self.run.degradable_left[-1, 0])

    @property
    def probe_c(self) -> np.ndarray:
        """True temperature at the thermometer's tip, hourly. [°C]"""
        return self.run.probe_c[:, 0]

    @property
    def ammonia_kg_m3_day(self) -> float:
        """Nitrogen going off as ammonia in the last two days, per volume of the heap."""
        lost, hours = self.run.ammonia_lost_kg[:, 0], min(48, self.hour)
        return float((lost[-1] - lost[-1 - hours]) / max(hours, 1) * 24.0 / self.fill.volume_m3)


@dataclass(frozen=True, slots=True)
class Plan:
    """How a fault is built in.

    Attributes
    ----------
    fill : mapping
        Ranges that differ from a good heap's.
    side_m : (float, float)
    days : (float, float)
        Day of the visit.
    season : str
        "mild" or "frost".
    turn_days : (float, float) or None
        Days between turns; None is never.
    walls : sequence of Wall
    is_there : callable
        Whether the truth really has it.

    """

    is_there: Callable[[Hidden], bool]
    fill: Mapping[str, tuple[float, float]]
    side_m: tuple[float, float] = (0.85, 1.15)
    days: tuple[float, float] = (5.0, 14.0)
    season: str = "mild"
    turn_days: tuple[float, float] | None = None
    walls: Sequence[Wall] = (Wall.PALLETS, Wall.SLATS, Wall.WIRE, Wall.BOARDS)


GOOD: Mapping[str, tuple[float, float]] = {
    "moisture": (0.52, 0.62),
    "density": (330.0, 480.0),  # wet, kg/m3
    "height_m": (0.75, 1.05),
    "ash_dry": (0.08, 0.2),
    "fast_share": (0.14, 0.28),
    "medium_share": (0.28, 0.42),
    "c_to_n": (23.0, 36.0),
}


def _is_good(one: Hidden) -> bool:
    return one.oxygen > 0.06 and 0.42 < one.moisture < 0.66


def _is_hot(one: Hidden) -> bool:
    return 45.0 <= one.probe_c[-1] < 70.0


def _is_else_well(one: Hidden) -> bool:
    """One thing wrong at a time: what only the eye sees stands in a heap that works."""
    return _is_good(one) and 40.0 <= one.probe_c[-1] < 70.0


def _is_old_and_well(one: Hidden) -> bool:
    """Done with its heat, neither soaked nor dry; what is wrong shows in the bed."""
    return one.probe_c[-1] < 45.0 and 0.36 < one.moisture < 0.68


def _cooled_early(one: Hidden) -> bool:
    hot = np.flatnonzero(one.probe_c >= 45.0)
    return bool(
        hot.size and one.probe_c[-1] < 37.0 and one.food > 0.3 and 0.4 < one.moisture < 0.66
    )


_OLD = {"days": (62.0, 95.0), "turn_days": (6.0, 11.0)}
PLANS: Mapping[str, Plan] = {
    "fine": Plan(lambda one: _is_good(one) and _is_hot(one), {}),
    "too_wet": Plan(
        lambda one: one.moisture > 0.69 and one.oxygen < 0.06 and one.probe_c[-1] < 50.0,
        {"moisture": (0.72, 0.82), "density": (720.0, 950.0)},
    ),
    "too_dry": Plan(
        lambda one: one.moisture < 0.34 and one.probe_c[-1] < 44.0,
        {"moisture": (0.18, 0.36), "density": (170.0, 300.0)},
    ),
    "short_of_nitrogen": Plan(
        lambda one: one.probe_c[-1] < 45.0 and 0.42 < one.moisture < 0.66 and one.oxygen > 0.05,
        {"c_to_n": (60.0, 130.0), "fast_share": (0.01, 0.05), "medium_share": (0.06, 0.18)},
    ),
    "too_small": Plan(
        lambda one: one.probe_c[-1] < 42.0 and 0.36 < one.moisture < 0.66,
        {"height_m": (0.3, 0.55)},
        side_m=(0.38, 0.58),
        walls=(Wall.WIRE, Wall.SLATS),
    ),
    "airless": Plan(
        lambda one: one.oxygen < 0.03 and one.moisture < 0.65 and one.probe_c[-1] < 55.0,
        {"moisture": (0.5, 0.62), "density": (700.0, 900.0)},
    ),
    "used_up": Plan(_cooled_early, {}, days=(9.0, 24.0)),
    "spent": Plan(
        lambda one: one.food < 0.25 and one.probe_c[-1] < 38.0 and 0.38 < one.moisture < 0.66,
        {},
        days=(45.0, 85.0),
        turn_days=(5.0, 10.0),
    ),
    "cold": Plan(
        lambda one: one.probe_c[-1] < 28.0 and 0.42 < one.moisture < 0.68 and one.food > 0.4,
        {"height_m": (0.6, 0.9), "fast_share": (0.06, 0.16)},
        season="frost",
        walls=(Wall.WIRE, Wall.SLATS),
    ),
    "young": Plan(lambda one: _is_good(one) and one.probe_c[-1] < 42.0, {}, days=(0.3, 2.2)),
    "too_hot": Plan(
        lambda one: one.probe_c[-1] >= 71.5 and one.moisture > 0.35,
        {"fast_share": (0.26, 0.36), "medium_share": (0.36, 0.45)},
        side_m=(1.1, 1.35),
        days=(2.0, 7.0),
        walls=(Wall.BOARDS, Wall.BLOCKS, Wall.BALES),
    ),
    "ammonia": Plan(
        lambda one: one.ammonia_kg_m3_day > 0.03 and one.probe_c[-1] < 70.0,
        {"c_to_n": (9.0, 16.0), "fast_share": (0.2, 0.34)},
        days=(2.5, 9.0),
    ),
    "rotten": Plan(_is_else_well, {}),
    "flies": Plan(_is_else_well, {}, days=(5.0, 25.0), turn_days=(8.0, 14.0)),
    "scavengers": Plan(_is_else_well, {}, days=(5.0, 40.0), turn_days=(7.0, 14.0)),
    "mats": Plan(
        lambda one: 0.42 < one.moisture < 0.72 and one.probe_c[-1] < 70.0,
        {"density": (480.0, 640.0), "moisture": (0.55, 0.66)},
    ),
    "coarse": Plan(
        lambda one: 0.36 < one.moisture < 0.66 and one.probe_c[-1] < 70.0,
        {"fast_share": (0.02, 0.08), "medium_share": (0.1, 0.22), "density": (220.0, 340.0)},
        days=(10.0, 40.0),
        turn_days=(7.0, 14.0),
    ),
    "drainage": Plan(
        lambda one: one.moisture > 0.6 and one.probe_c[-1] < 70.0,
        {"moisture": (0.66, 0.76), "density": (520.0, 760.0)},
    ),
    "cool_shell": Plan(_is_old_and_well, {}, **_OLD),
    "immature": Plan(_is_old_and_well, {}, **_OLD),
    "herbicide": Plan(_is_old_and_well, {}, **_OLD),
}
FAULTS = tuple(PLANS)


def hidden(fault: str, rng: np.random.Generator) -> Hidden:
    """Return a heap that has the fault; drawn anew until it really is there.

    Raises
    ------
    RuntimeError
        If it never is: the plan is wrong.

    """
    plan = PLANS[fault]
    for _ in range(MOST_TRIES):
        one = _made(fault, plan, rng)
        if plan.is_there(one):
            return one
    raise RuntimeError(f"no heap has the fault {fault} after {MOST_TRIES} tries")


def _made(fault: str, plan: Plan, rng: np.random.Generator) -> Hidden:
    side = float(rng.uniform(*plan.side_m))
    drawn = {name: float(rng.uniform(*ends)) for name, ends in {**GOOD, **plan.fill}.items()}
    shape = BinShape(
        width_m=side,
        depth_m=side,
        height_m=drawn["height_m"],
        wall=plan.walls[int(rng.integers(len(plan.walls)))],
        cover=Cover.BROWN_CAP,
        shade=float(rng.uniform(0.2, 0.8)),
    )
    volume = shape.volume_m3 * float(rng.uniform(0.9, 1.0))
    fill = Fill(
        wet_mass_kg=drawn["density"] * volume,
        moisture=drawn["moisture"],
        volume_m3=volume,
        ash_dry=drawn["ash_dry"],
        fast_share=drawn["fast_share"],
        medium_share=drawn["medium_share"],
        c_to_n=drawn["c_to_n"],
    )
    hour = round(24 * float(rng.uniform(*plan.days)))
    weather = _weather(plan.season, hour, rng)
    actions = _turns(plan, hour, rng)
    depth = min(DEPTH_M, 0.5 * drawn["height_m"])
    start = built(shape, [fill], weather, _numbers(rng), radii=RADII, heights=HEIGHTS)
    run, standing = go_on(start, weather, hour, actions, probe_depth_m=depth, threads=1)
    return Hidden(fault, shape, fill, weather, actions, hour, depth, run, standing)


def _turns(plan: Plan, hour: int, rng: np.random.Generator) -> tuple[HeapAction, ...]:
    if plan.turn_days is None:
        return ()
    found, day = [], float(rng.uniform(*plan.turn_days))
    while 24 * day < hour - 48:
        water = float(rng.uniform(5.0, 30.0))
        found.append(HeapAction(round(24 * day), ActionKind.STIR, water_kg=water))
        day += float(rng.uniform(*plan.turn_days))
    return tuple(found)


@cache
def _year(key: str) -> WeatherSeries:
    return climate(key)


def _weather(season: str, hours: int, rng: np.random.Generator) -> WeatherSeries:
    keys = sorted(one.key for one in climates())
    while True:
        key = keys[int(rng.integers(len(keys)))]
        start = datetime(2023, 1, 1, 9, tzinfo=UTC) + timedelta(days=int(rng.integers(365)))
        found = on_dates(_year(key), start, start + timedelta(hours=hours + 24))
        last = float(found.temperature_c[max(0, hours - 168) : hours + 1].mean())
        if (season == "mild" and last > MILD_C) or (season == "frost" and last < FROST_C):
            return found


def _numbers(rng: np.random.Generator) -> np.ndarray:
    deviations = np.zeros((1, len(PARAMETER_IDS)))
    uncertain = [PARAMETER_IDS.index(name) for name in uncertain_parameters()]
    deviations[0, uncertain] = rng.uniform(-TRUTH_REACH, TRUTH_REACH, len(uncertain))
    return parameters_at(deviations)
