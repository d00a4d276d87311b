"""How long until a heap is finished, from a run and from what is left at its end.

Knows one definition of finished (degradable matter left) and one rate for the days beyond the
horizon, the same for every option. Knows no option.
"""

from __future__ import annotations

import numpy as np

from heapwright.decisions.contents import Contents
from heapwright.decisions.tables import limits
from heapwright.heap import layout
from heapwright.heap.resume import Standing
from heapwright.heap.types import FloatArray

_HOURS_A_DAY = 24.0
_HALVINGS = 40


def days_to_finished(
    left: FloatArray, at_end: Contents, standing: Standing, air_c: float
) -> FloatArray:
    """Return the days from a run's beginning until each member is finished.

    Within the run: when the degradable matter left first falls to the share s of what was built
    in. Beyond its end: the t that solves

        F exp(-a t) + M exp(-b t) = s B

    with F and M the fast and medium pool at the end, B what was built in, and a, b the member's
    own rates times the factors of a heap that is kept well (`well_kept_rates_per_day`).

    Parameters
    ----------
    left : array, shape (hours+1, members)
        Degradable matter left, share of what was built in. [0-1]
    at_end : Contents
        At the end of the run.
    standing : Standing
        The same heaps, for their own rates.
    air_c : float
        Mean air temperature of the run. [°C]

    Returns
    -------
    array, shape (members,)
        Never more than the table's `most_days`.

    """
    table = limits()
    wished = table["finished_share"]
    horizon = (left.shape[0] - 1) / _HOURS_A_DAY
    fast_rate, medium_rate = well_kept_rates_per_day(standing, air_c)
    beyond = days_until_left(
        at_end.fast_kg, at_end.medium_kg, wished * at_end.built_in_kg, fast_rate, medium_rate
    )
    is_there = left <= wished
    first = np.argmax(is_there, axis=0) / _HOURS_A_DAY
    found = np.where(is_there.any(axis=0), first, horizon + beyond)
    return np.asarray(np.minimum(found, table["most_days"]))


def well_kept_rates_per_day(standing: Standing, air_c: float) -> tuple[FloatArray, FloatArray]:
    """Return the rates at which a well-kept heap of each member loses its fast and medium pool.

    The member's rate at its best temperature, times the cardinal-temperature form at the mean air
    plus the table's `later_rise_k`, times the nitrogen factor as it stands. Moisture and air are
    taken to be right: what is not right now counts within the horizon, not beyond it.
    """
    numbers = standing.state.parameters
    cells = standing.state.cells
    warmth = cardinal_temperature(
        np.full(standing.members, air_c + limits()["later_rise_k"]),
        np.asarray(numbers["temperature_lowest_c"]),
        np.asarray(numbers["temperature_best_c"]),
        np.asarray(numbers["temperature_highest_c"]),
    )
    factor = warmth * cells[:, layout.NITROGEN_FACTOR].mean(axis=(1, 2))
    return (
        np.asarray(numbers["fast_rate_per_day"] * factor),
        np.asarray(numbers["medium_rate_per_day"] * factor),
    )


def cardinal_temperature(
    at_c: FloatArray, lowest_c: FloatArray, best_c: FloatArray, highest_c: FloatArray
) -> FloatArray:
    """Return the rate at a temperature as share of the best (Rosso, Lobry & Flandrois 1993).

    (T - Tmax)(T - Tmin)^2 over (Topt - Tmin)[(Topt - Tmin)(T - Topt) - (Topt - Tmax)
    (Topt + Tmin - 2 T)]; 0 outside Tmin to Tmax (form from memory, as in the heap model).
    """
    inside = (at_c > lowest_c) & (at_c < highest_c)
    t = np.where(inside, at_c, best_c)
    above = (t - highest_c) * (t - lowest_c) ** 2
    below = (best_c - lowest_c) * (
        (best_c - lowest_c) * (t - best_c) - (best_c - highest_c) * (best_c + lowest_c - 2.0 * t)
    )
    return np.where(inside, np.clip(above / below, 0.0, 1.0), 0.0)


def days_until_left(
    fast_kg: FloatArray,
    medium_kg: FloatArray,
    wished_kg: FloatArray,
    fast_rate: FloatArray,
    medium_rate: FloatArray,
) -> FloatArray:
    """Return when two pools that decay exponentially add up to an amount, shape (members,).

    By halving the interval from 0 to the table's `most_days`; 0 where they are below it already.
    """
    low = np.zeros_like(fast_kg)
    high = np.full_like(fast_kg, limits()["most_days"])
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        there = fast_kg * np.exp(-fast_rate * middle) + medium_kg * np.exp(-medium_rate * middle)
        is_over = there > wished_kg
        low, high = np.where(is_over, middle, low), np.where(is_over, high, middle)
    return np.where(fast_kg + medium_kg <= wished_kg, 0.0, high)
