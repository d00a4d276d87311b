"""What the consequences of an option count, in days of waiting.

Knows one sum and the table of its weights. Knows no option and no rule.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from heapwright.decisions.tables import worths
from heapwright.decisions.types import Measures
from heapwright.heap.types import FloatArray

#: Rows of the table that are weights of the sum.
WEIGHTS = (
    "heat_days",
    "airless_days",
    "nitrogen_days",
    "fly_days",
    "water_days_kg",
    "work_days_minute",
)


def usual_weights() -> Mapping[str, float]:
    """Return the typical weights."""
    return {name: worths()[name].typical for name in WEIGHTS}


def other_weights() -> Iterator[tuple[str, str, Mapping[str, float]]]:
    """Yield each weight's name, "low" or "high", and the weights with it at that end."""
    usual = usual_weights()
    for name in WEIGHTS:
        row = worths()[name]
        yield name, "low", {**usual, name: row.low}
        yield name, "high", {**usual, name: row.high}


def cost_days(measures: Measures, weights: Mapping[str, float]) -> FloatArray:
    """Return everything that speaks against an option, in days, shape (members,).

    J = T + h (1 - H) + o A + n N + f F + w W + m B

    with T the days until finished, H the share of the heap with heat for long enough, A the
    airless days, N the share of nitrogen lost, F the fly days, W the water given [kg], B the work
    [min] and h, o, n, f, w, m the weights of the table in that order.
    """
    return np.asarray(
        measures.days_left
        + weights["heat_days"] * (1.0 - measures.hot_share)
        + weights["airless_days"] * measures.airless_days
        + weights["nitrogen_days"] * measures.nitrogen_lost
        + weights["fly_days"] * measures.fly_days
        + weights["water_days_kg"] * measures.water_given_kg
        + weights["work_days_minute"] * measures.work_minutes
    )
