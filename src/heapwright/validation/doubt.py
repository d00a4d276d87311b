"""How much a case's verdict hangs on what had to be assumed of its heap.

Most sources weighed nothing and measured no mixture: fill and air are guesses by one set of rules.
Here they are drawn anew around the guess, the same for all runs of a case, and the case is judged
again. Knows how wide the guesses are taken; the numbers of the heap model stay as they are.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from heapwright.errors import OutOfRange
from heapwright.heap.parameters import Parameters
from heapwright.heap.types import Fill, HeapAction
from heapwright.tables import parameter_table
from heapwright.validation.score import score
from heapwright.validation.types import Case, CaseRun
from heapwright.weather.series import WeatherSeries

_TABLE = ("heapwright.validation", "doubt.csv")


def met_in_doubt(case: Case, numbers: Parameters, draws: int, rng: np.random.Generator) -> float:
    """Return the share of draws of the assumptions with which the case is met. [0-1]

    Draws that no heap can have (no air between the pieces) are drawn again.
    """
    met, done = 0, 0
    for _ in range(10 * draws):
        if done == draws:
            break
        try:
            met += score(_drawn(case, rng), numbers).passed
        except OutOfRange:
            continue
        done += 1
    return met / max(done, 1)


def _drawn(case: Case, rng: np.random.Generator) -> Case:
    """Return the case with one draw of its assumptions, alike for all its runs."""
    table = parameter_table(*_TABLE)
    factors = {
        name: float(np.exp(rng.normal(0.0, np.log(table[name].typical))))
        for name in ("dry_mass_times", "fast_share_times", "medium_share_times", "c_to_n_times")
    }
    moisture = float(rng.normal(0.0, table["moisture_more"].typical))
    air_k = float(rng.normal(0.0, table["air_more_k"].typical))
    runs = {name: _run(told, factors, moisture, air_k) for name, told in case.runs.items()}
    return replace(case, runs=runs)


def _run(told: CaseRun, factors: dict[str, float], moisture: float, air_k: float) -> CaseRun:
    return replace(
        told,
        fill=_fill(told.fill, factors, moisture),
        actions=tuple(_action(action, factors, moisture) for action in told.actions),
        weather=_warmer(told.weather, air_k),
    )


def _action(action: HeapAction, factors: dict[str, float], moisture: float) -> HeapAction:
    if action.fill is None:
        return action
    return replace(action, fill=_fill(action.fill, factors, moisture))


def _fill(fill: Fill, factors: dict[str, float], moisture: float) -> Fill:
    wet = float(np.clip(fill.moisture + moisture, 0.1, 0.85))
    dry = fill.wet_mass_kg * (1.0 - fill.moisture) * factors["dry_mass_times"]
    fast = min(fill.fast_share * factors["fast_share_times"], 0.9)
    medium = min(fill.medium_share * factors["medium_share_times"], 1.0 - fast)
    return replace(
        fill,
        wet_mass_kg=dry / (1.0 - wet),
        moisture=wet,
        fast_share=fast,
        medium_share=medium,
        c_to_n=fill.c_to_n * factors["c_to_n_times"],
    )


def _warmer(weather: WeatherSeries, air_k: float) -> WeatherSeries:
    return replace(weather, temperature_c=weather.temperature_c + air_k)
