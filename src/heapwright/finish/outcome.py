"""How much finished compost a heap will give: mass and volume, member by member.

Knows a mass balance over the food left and what finished compost is like by its sources. Knows
nothing of when (`dates.py`).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import OutOfRange
from heapwright.finish.dates import spread_over
from heapwright.finish.guides import limits
from heapwright.wording import worded

FloatArray = NDArray[np.float64]


def finished_dry_kg(
    dry_kg: FloatArray, degradable_share: float, left: FloatArray, left_at_end: FloatArray
) -> FloatArray:
    """Return the dry mass when only `left_at_end` of the degradable pools is left.

    Mass balance: with s the share of the dry mass as built in that can rot, and L of it left, the
    dry mass is D0 (1 - s (1 - L)); so it goes down by (1 - s (1 - L_end)) / (1 - s (1 - L)).
    Nothing comes back when less is left already. The slow pool is taken as staying: known bias,
    a little too much is expected.

    Parameters
    ----------
    dry_kg : array, shape (members,)
        Now. [kg]
    degradable_share : float
        Fast and medium pools as share of the dry mass as built, in [0, 1).
    left, left_at_end : array, shape (members,)
        Shares of them left, now and at the end. [0-1]

    Returns
    -------
    array, shape (members,)
        [kg]

    """
    if not 0.0 <= degradable_share < 1.0:
        raise OutOfRange(
            worded(
                "Share {degradable_share:g} of the dry mass that rots",
                degradable_share=degradable_share,
            ),
            why="it lies between 0 and 1, and something always stays",
        )
    end = np.minimum(left, left_at_end)
    rests = (1.0 - degradable_share * (1.0 - end)) / (1.0 - degradable_share * (1.0 - left))
    return np.asarray(dry_kg * rests, dtype=np.float64)


def finished_wet_kg(dry_kg: FloatArray) -> FloatArray:
    """Return the wet mass at 40 to 50 % moisture (Penn State, second-hand). [kg]"""
    return dry_kg / (1.0 - spread_over(limits()["finished_moisture"], dry_kg.shape[0], turn=3))


def finished_volume_m3(wet_kg: FloatArray) -> FloatArray:
    """Return the volume at 593 to 801 kg/m³ (Deschutes County; Massachusetts). [m³]"""
    return wet_kg / spread_over(limits()["finished_density_kg_m3"], wet_kg.shape[0], turn=4)


def shrunk_volume_m3(built_m3: FloatArray) -> FloatArray:
    """Return what 50 to 75 % loss of volume (Colorado State) leaves, likely a third. [m³]"""
    return built_m3 * spread_over(limits()["finished_share_of_volume"], built_m3.shape[0], turn=5)
