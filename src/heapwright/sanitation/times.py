"""Hours that parcels spent warm: in all, without a break, in windows, and as a dose.

Knows arrays of temperatures, hour by hour. Knows no rule and no heap. Between two hours the
temperature is taken to run straight. What is not a number counts as cold.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from heapwright.sanitation.equations import HOLDING_FROM_C, holding_days

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

#: Stands for "not there": so cold that no part of an hour's line to it counts.
_NOWHERE_C = -1e12
#: Rounding that must not decide. [h] or [K]
TINY = 1e-9
HOURS_A_DAY = 24.0


def hours_within(temperature_c: FloatArray, low_c: float, high_c: float = np.inf) -> FloatArray:
    """Return the part of each hour spent from `low_c` up to `high_c`.

    Parameters
    ----------
    temperature_c : array, shape (hours+1, parcels)
        [°C]
    low_c, high_c : float
        Both ends count.

    Returns
    -------
    array, shape (hours, parcels)
        [h], 0-1

    """
    known = np.nan_to_num(temperature_c, nan=_NOWHERE_C)
    before, after = known[:-1], known[1:]
    top, bottom = np.maximum(before, after), np.minimum(before, after)
    part = np.minimum(top, high_c) - np.maximum(bottom, low_c)
    part += TINY
    part /= top - bottom + TINY
    return np.asarray(np.clip(part, 0.0, 1.0, out=part))


def runs(temperature_c: FloatArray, low_c: float, high_c: float = np.inf) -> FloatArray:
    """Return how long each parcel has been within the band without a break, up to each hour.

    Returns
    -------
    array, shape (hours, parcels)
        Of the unbroken spell that reaches into that hour. [h]

    """
    spent = hours_within(temperature_c, low_c, high_c)
    total = np.cumsum(spent, axis=0)
    ends_out = ~((temperature_c[1:] >= low_c) & (temperature_c[1:] <= high_c))
    begun = np.maximum.accumulate(np.where(ends_out, total, 0.0), axis=0)
    total[1:] -= begun[:-1]
    return total


def longest(temperature_c: FloatArray, low_c: float, high_c: float = np.inf) -> FloatArray:
    """Return each parcel's longest unbroken spell within the band, shape (parcels,). [h]"""
    if temperature_c.shape[0] < 2:
        return np.zeros(temperature_c.shape[1])
    return np.asarray(runs(temperature_c, low_c, high_c).max(axis=0))


def warm_spell_with_heat(
    temperature_c: FloatArray, warm_c: float, warm_hours: int, hot_c: float, hot_hours: float
) -> BoolArray:
    """Return which parcels stayed warm for a whole spell and were hot long enough during it.

    Parameters
    ----------
    temperature_c : array, shape (hours+1, parcels)
    warm_c : float
        Never below this for `warm_hours` on end.
    hot_c, hot_hours : float
        Above this for so long, in all, within those same hours.

    Returns
    -------
    array of bool, shape (parcels,)

    """
    if temperature_c.shape[0] - 1 < warm_hours:
        return np.zeros(temperature_c.shape[1], dtype=bool)
    warm = runs(temperature_c, warm_c) >= warm_hours - TINY
    hot = np.cumsum(hours_within(temperature_c, hot_c), axis=0)
    hot[warm_hours:] -= hot[:-warm_hours].copy()
    return np.asarray((warm & (hot >= hot_hours - TINY)).any(axis=0))


def held(temperature_c: FloatArray, levels_c: FloatArray) -> BoolArray:
    """Return which parcels stayed at some temperature for as long as the equation wants there.

    Parameters
    ----------
    temperature_c : array, shape (hours+1, parcels)
    levels_c : array
        Temperatures at which this is looked at, each within the equation's range; more of them
        find a few more parcels, never fewer. [°C]

    Returns
    -------
    array of bool, shape (parcels,)

    """
    met = np.zeros(temperature_c.shape[1], dtype=bool)
    for level, days in zip(levels_c, holding_days(levels_c), strict=True):
        open_yet = np.flatnonzero(~met)
        spells = longest(temperature_c[:, open_yet], float(level))
        met[open_yet] = spells >= HOURS_A_DAY * days - TINY
    return met


def dose(temperature_c: FloatArray) -> FloatArray:
    """Return the sum of the fractions of the holding time, shape (parcels,); 1 is complete.

    Derived from the equation, not part of the rule: show it as an estimate. Each hour counts at
    the cooler of its two ends, and not at all below the equation's range.
    """
    known = np.nan_to_num(temperature_c, nan=_NOWHERE_C)
    cooler = np.minimum(known[:-1], known[1:])
    counts = cooler >= HOLDING_FROM_C
    days = holding_days(np.where(counts, cooler, HOLDING_FROM_C))
    return np.asarray((counts / (HOURS_A_DAY * days)).sum(axis=0))
