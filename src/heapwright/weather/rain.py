"""Rain as stations report it: amounts over 1, 3, 6 and 24 hours that overlap, undone into hours.

Knows only arithmetic on one column of an hourly year. Knows nothing of files.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


def unfold_rain(amount_mm: FloatArray, period_h: FloatArray) -> FloatArray:
    """Return hourly rain from amounts that each stand for the hours up to and with their row.

    A six-hour report repeats what the three-hour reports inside it said. Short periods are taken
    first; a longer one adds only what the shorter ones left over, spread evenly over the hours not
    yet known. A period that is missing is one hour.

    Parameters
    ----------
    amount_mm : array
        Amounts, NaN where none was reported; rows are consecutive hours.
    period_h : array
        Hours each amount was gathered over.

    Returns
    -------
    array
        Rain in each hour [mm]; NaN in hours nobody reported on.

    """
    rain = np.zeros_like(amount_mm)
    known = np.zeros(amount_mm.shape, dtype=bool)
    periods = np.where(np.isfinite(period_h), np.maximum(period_h, 1.0), 1.0).astype(np.int64)
    reported = np.flatnonzero(np.isfinite(amount_mm))
    for row in reported[np.argsort(periods[reported], kind="stable")]:
        window = slice(max(0, int(row) + 1 - int(periods[row])), int(row) + 1)
        rest = max(0.0, float(amount_mm[row]) - float(rain[window].sum()))
        free = np.flatnonzero(~known[window]) + window.start
        if free.size:
            rain[free] = rest / free.size
        known[window] = True
    return np.where(known, rain, np.nan)


def looks_like_tenths_of_mm(
    amount: FloatArray, *, hundredth_inch_mm: float = 0.254, least: int = 30, share: float = 0.95
) -> bool:
    """Return whether amounts headed "mm" are really hundredths of an inch in tenths of a mm.

    Some typical-year files head such a column "mm": 3, 5, 8, 10, 13 and so on, ten times what
    falls. Only two in five whole numbers lie on that ladder, so thirty amounts on it are no chance.

    Parameters
    ----------
    amount : array
        Amounts as written, NaN where none.
    hundredth_inch_mm : float
        0.254 by definition.
    least : int
        With fewer amounts nothing is concluded.
    share : float
        Share of the amounts that must lie on the ladder.

    """
    wet = amount[np.isfinite(amount) & (amount > 0)]
    if wet.size < least or (wet % 1.0 != 0).any():
        return False
    tenths_a_rung = hundredth_inch_mm * 10.0
    rungs = np.round(wet / tenths_a_rung)
    return bool((np.abs(rungs * tenths_a_rung - wet) <= 0.5).mean() >= share)
