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
    spent = np.zeros((temperature_c.shape[0] - 1, temperature_c.shape[1]))
    warm = _warm_hours(temperature_c, low_c)
    spent[warm] = _spent(temperature_c[warm.start : warm.stop + 1], low_c, high_c)
    return spent


def in_all(
    temperature_c: FloatArray,
    low_c: float,
    high_c: float = np.inf,
    counts: BoolArray | None = None,
) -> FloatArray:
    """Return each parcel's hours within the band, shape (parcels,). [h]

    Parameters
    ----------
    temperature_c : array, shape (hours+1, parcels)
    low_c, high_c : float
    counts : array of bool, shape (hours, parcels), optional
        Which hours count at all.

    """
    warm = _warm_hours(temperature_c, low_c)
    spent = _spent(temperature_c[warm.start : warm.stop + 1], low_c, high_c)
    if counts is not None:
        spent *= counts[warm]
    return np.asarray(spent.sum(axis=0))


def runs(temperature_c: FloatArray, low_c: float, high_c: float = np.inf) -> FloatArray:
    """Return how long each parcel has been within the band without a break, up to each hour.

    Returns
    -------
    array, shape (hours, parcels)
        Length of the unbroken spell that reaches into that hour; 0 without one. [h]

    """
    lengths = np.zeros((temperature_c.shape[0] - 1, temperature_c.shape[1]))
    warm = _warm_hours(temperature_c, low_c)
    lengths[warm] = _runs(temperature_c[warm.start : warm.stop + 1], low_c, high_c)
    return lengths


def longest(temperature_c: FloatArray, low_c: float, high_c: float = np.inf) -> FloatArray:
    """Return each parcel's longest unbroken spell within the band, shape (parcels,). [h]"""
    warm = _warm_hours(temperature_c, low_c)
    part = _runs(temperature_c[warm.start : warm.stop + 1], low_c, high_c)
    return np.asarray(part.max(axis=0, initial=0.0))


def longest_below(temperature_c: FloatArray, limit_c: float, later_hours: int = 0) -> FloatArray:
    """Return each parcel's longest spell of whole hours below `limit_c`, shape (parcels,). [h]

    What is not a number belongs to no spell: the parcel was not there.

    Parameters
    ----------
    temperature_c : array, shape (hours+1, parcels)
    limit_c : float
    later_hours : int
        Hours after the end in which nothing got warm any more.

    """
    cool = (temperature_c[:-1] < limit_c) & (temperature_c[1:] < limit_c)
    total = np.cumsum(cool, axis=0, dtype=np.int32)
    total -= np.maximum.accumulate(np.where(cool, np.int32(0), total), axis=0)
    at_the_end = total[-1] + later_hours if len(total) else np.full(cool.shape[1], later_hours)
    longest_spell = np.maximum(total.max(axis=0, initial=0), at_the_end)
    return np.asarray(longest_spell, dtype=np.float64)


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
    hot_hour = _warm_hours(temperature_c, hot_c)  # no such spell lies farther from the heat
    first = max(0, hot_hour.start - warm_hours)
    field = temperature_c[first : hot_hour.stop + warm_hours + 1]
    if hot_hour.stop == 0 or field.shape[0] - 1 < warm_hours:
        return np.zeros(temperature_c.shape[1], dtype=bool)
    warm = _runs(field, warm_c, np.inf)[warm_hours - 1 :] >= warm_hours - TINY
    hot = np.cumsum(_spent(field, hot_c, np.inf), axis=0)
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
    hottest = np.fmax.reduce(temperature_c, axis=0)
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
    warm = _warm_hours(temperature_c, HOLDING_FROM_C)
    known = _known(temperature_c[warm.start : warm.stop + 1])
    cooler = np.minimum(known[:-1], known[1:])
    counts = cooler >= HOLDING_FROM_C
    part = np.zeros_like(cooler)
    part[counts] = 1.0 / (HOURS_A_DAY * holding_days(cooler[counts]))
    return np.asarray(part.sum(axis=0))


def _warm_hours(temperature_c: FloatArray, low_c: float) -> slice:
    """Return the hours from the first to the last in which any parcel is warm at all.

    A heap is warm for weeks and cold for months; nothing is counted outside.
    """
    warm = np.flatnonzero((temperature_c >= low_c).any(axis=1))
    if warm.size == 0:
        return slice(0, 0)
    return slice(max(0, int(warm[0]) - 1), min(int(warm[-1]) + 1, temperature_c.shape[0] - 1))


def _spent(temperature_c: FloatArray, low_c: float, high_c: float) -> FloatArray:
    known = _known(temperature_c)
    top = np.maximum(known[:-1], known[1:])
    bottom = np.minimum(known[:-1], known[1:])
    whole = top - bottom + TINY
    part = np.minimum(top, high_c, out=top) - np.maximum(bottom, low_c, out=bottom)
    part += TINY
    part /= whole
    return np.asarray(np.clip(part, 0.0, 1.0, out=part))


def _runs(temperature_c: FloatArray, low_c: float, high_c: float) -> FloatArray:
    spent = _spent(temperature_c, low_c, high_c)
    total = np.cumsum(spent, axis=0)
    ends_out = ~((temperature_c[1:] >= low_c) & (temperature_c[1:] <= high_c))
    begun = np.maximum.accumulate(np.where(ends_out, total, 0.0), axis=0)
    total[1:] -= begun[:-1]
    return np.asarray(np.where(spent > TINY, total, 0.0))


def _known(temperature_c: FloatArray) -> FloatArray:
    if np.isnan(temperature_c).any():
        return np.nan_to_num(temperature_c, nan=_NOWHERE_C)
    return temperature_c
