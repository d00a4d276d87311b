"""Published and derived equations of killing by heat: holding time, shells, several hot periods.

Knows arithmetic only. Knows nothing of heaps, parcels or readings.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from heapwright.errors import OutOfRange
from heapwright.wording import worded

FloatArray = NDArray[np.float64]

#: The equation holds from this temperature on. [°C]
HOLDING_FROM_C = 50.0
#: No holding time is shorter. [d]
LEAST_HOLDING_DAYS = 20.0 / (24.0 * 60.0)


def holding_days(
    temperature_c: ArrayLike,
    *,
    factor_days: float = 131_700_000.0,
    per_degree: float = 0.1400,
    least_days: float = LEAST_HOLDING_DAYS,
) -> FloatArray:
    """Return how long every piece must stay at a temperature, by the sewage-sludge equation.

    D = 131,700,000 / 10^(0.1400 t) days [1]_, for matter of 7 % solids or more, which compost
    always is.

    Parameters
    ----------
    temperature_c : float or array
        50 or more. [°C]
    factor_days, per_degree : float
        Coefficients of the equation. [d], [1/K]
    least_days : float
        The rule's floor, 20 minutes. [d]

    Returns
    -------
    array
        [d]

    Raises
    ------
    OutOfRange
        Below 50 °C, where the equation says nothing.

    Notes
    -----
    Every piece must be that warm for that long without a break. Made for sewage sludge; it binds
    no gardener and is a benchmark here.

    References
    ----------
    .. [1] 40 CFR 503.32(a)(3), read in 15A NCAC 02T .1106(a)(3)(A), which repeats it.

    Examples
    --------
    >>> [float(days) for days in holding_days([55.0, 70.0]).round(4)]
    [2.6278, 0.0209]

    """
    level = np.asarray(temperature_c, dtype=np.float64)
    if not (level >= HOLDING_FROM_C).all():
        raise OutOfRange(
            worded("A holding time at {min:g} °C", min=float(np.min(level))),
            why=worded(
                "the equation says nothing below {holding_from_c:g} °C",
                holding_from_c=HOLDING_FROM_C,
            ),
            instead="Count no hour below that",
            kept="",
        )
    return np.asarray(np.maximum(factor_days / 10.0 ** (per_degree * level), least_days))


def share_never_hot(cool_share: float, periods: float, survival: float = 0.0) -> float:
    """Return the share of a heap never heated after several hot periods, mixed well in between.

    (f + (1 - f) s)^N, plain probability (derived; no published table was found to hold it against).

    Parameters
    ----------
    cool_share : float
        f, share that stays too cool in each hot period. [0-1]
    periods : float
        N; the building is the first, each turn after which it heats again is one more.
    survival : float
        s, share of an organism that survives in the hot part. [0-1]

    Examples
    --------
    >>> round(share_never_hot(0.5, 5), 3)
    0.031

    """
    if not (0.0 <= cool_share <= 1.0 and 0.0 <= survival <= 1.0 and periods >= 0.0):
        raise OutOfRange(
            worded(
                "Cool share {cool_share:g}, survival {survival:g}, {periods:g} hot periods",
                cool_share=cool_share,
                survival=survival,
                periods=periods,
            ),
            why="shares lie from 0 to 1 and periods are not negative",
            kept="",
        )
    return float((cool_share + (1.0 - cool_share) * survival) ** periods)


def periods_for(cool_share: float, target_share: float) -> float:
    """Return how many hot periods leave no more than a target never heated: ln p / ln f.

    Parameters
    ----------
    cool_share, target_share : float
        f and p, both between 0 and 1.

    """
    if not (0.0 < cool_share < 1.0 and 0.0 < target_share < 1.0):
        raise OutOfRange(
            worded(
                "Cool share {cool_share:g} and target {target_share:g}",
                cool_share=cool_share,
                target_share=target_share,
            ),
            why="both must lie between 0 and 1",
            kept="",
        )
    return float(np.log(target_share) / np.log(cool_share))


def hot_share_of_cube(side_m: float, shell_m: float) -> float:
    """Return the share of a cube inside a cool shell on all six faces: (1 - 2 d / L)^3.

    Geometry (derived). 0 when the shells meet.

    Parameters
    ----------
    side_m, shell_m : float
        L and d. [m]

    """
    if not (side_m > 0.0 and shell_m >= 0.0):
        raise OutOfRange(
            worded(
                "A cube of {side_m:g} m with a shell of {shell_m:g} m",
                side_m=side_m,
                shell_m=shell_m,
            ),
            why="the side must be more than 0 and the shell not negative",
            kept="",
        )
    return max(0.0, 1.0 - 2.0 * shell_m / side_m) ** 3
