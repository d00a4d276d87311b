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
    known = _known(temperature_c)
    top = np.maximum(known[:-1], known[1:])
    bottom = np.minimum(known[:-1], known[1:])
    whole = top - bottom + TINY
    part = np.minimum(top, high_c, out=top) - np.maximum(bottom, low_c, out=bottom)
    part += TINY
    part /= whole
    return np.asarray(np.clip(part, 0.0, 1.0, out=part))


def runs(temperature_c: FloatArray, low_c: float, high_c: float = np.inf) -> FloatArray:
    """Return how long each parcel has been within the band without a break, up to each hour.

    Returns
    -------
    array, shape (hours, parcels)
        Length of the unbroken spell that reaches into that hour; 0 without one. [h]

    """
    spent = hours_within(temperature_c, low_c, high_c)
    total = np.cumsum(spent, axis=0)
    ends_out = ~((temperature_c[1:] >= low_c) & (temperature_c[1:] <= high_c))
    begun = np.maximum.accumulate(np.where(ends_out, total, 0.0), axis=0)
    total[1:] -= begun[:-1]
    return np.asarray(np.where(spent > TINY, total, 0.0))


def longest(temperature_c: FloatArray, low_c: float, high_c: float = np.inf) -> FloatArray:
    """Return each parcel's longest unbroken spell within the band, shape (parcels,). [h]"""
    return np.asarray(runs(temperature_c, low_c, high_c).max(axis=0, initial=0.0))


def longest_below(temperature_c: FloatArray, limit_c: float) -> FloatArray:
    """Return each parcel's longest spell of whole hours below `limit_c`, shape (parcels,). [h]

    What is not a number belongs to no spell: the parcel was not there.
    """
    cool = (temperature_c[:-1] < limit_c) & (temperature_c[1:] < limit_c)
    total = np.cumsum(cool, axis=0, dtype=np.float64)
    begun = np.maximum.accumulate(np.where(cool, 0.0, total), axis=0)
    return np.asarray((total - begun).max(axis=0, initial=0.0))


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
    hot = np.cumsum(hours_within(temperature_c, hot_c), axis=0)
    if hot.shape[0] < warm_hours:
        return np.zeros(hot.shape[1], dtype=bool)
    warm = runs(temperature_c, warm_c)[warm_hours - 1 :] >= warm_hours - TINY
    during = hot[warm_hours - 1 :].copy()
    during[1:] -= hot[:-warm_hours]
    return np.asarray((warm & (during >= hot_hours - TINY)).any(axis=0))


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
    hottest = np.nanmax(temperature_c, axis=0)
    for level, days in zip(levels_c, holding_days(levels_c), strict=True):
        open_yet = np.flatnonzero(~met & (hottest >= level))
        if open_yet.size:
            spells = longest(temperature_c[:, open_yet], float(level))
            met[open_yet] = spells >= HOURS_A_DAY * days - TINY
    return met


def dose(temperature_c: FloatArray) -> FloatArray:
    """Return the sum of the fractions of the holding time, shape (parcels,); 1 is complete.

    Derived from the equation, not part of the rule: show it as an estimate. Each hour counts at
    the cooler of its two ends, and not at all below the equation's range.
    """
    known = _known(temperature_c)
    cooler = np.minimum(known[:-1], known[1:])
    counts = cooler >= HOLDING_FROM_C
    part = np.zeros_like(cooler)
    part[counts] = 1.0 / (HOURS_A_DAY * holding_days(cooler[counts]))
    return np.asarray(part.sum(axis=0))


def _known(temperature_c: FloatArray) -> FloatArray:
    if np.isnan(temperature_c).any():
        return np.nan_to_num(temperature_c, nan=_NOWHERE_C)
    return temperature_c
