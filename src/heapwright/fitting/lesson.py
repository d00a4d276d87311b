"""What one heap has taught of its place and of the hand that built it, for the next one.

Knows how much of a fitted ensemble is carried on and how much is forgotten. Knows no journal.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from heapwright.fitting.followed import ADJUSTED, Followed
from heapwright.heap.parameters import DEVIATIONS_MOST, PARAMETER_IDS
from heapwright.heap.types import FloatArray
from heapwright.tables import parameter_table

#: Numbers that belong to the place: they stay when the heap goes.
OF_THE_PLACE = (
    "film_still_w_m2_k",
    "film_per_wind_j_m3_k",
    "wind_shelter",
    "wind_suction",
    "wind_suction_most_pa",
    "sun_absorptance",
    "sun_side_share",
    "sky_loss_w_m2",
    "ground_resistance_m2_k_w",
    "soil_memory_days",
    "floor_openness",
    "skin_m",
    "rain_shed_domed",
)


@dataclass(frozen=True, slots=True)
class Lesson:
    """What is expected of the next heap before anything is seen of it.

    Attributes
    ----------
    mean, spread : array, shape (numbers,)
        Of the deviations its members are drawn with; 0 and 1 where nothing is known.
    fill_log : array, shape (3,)
        Natural logarithm of how much more fast pool, medium pool and water is put in than told.

    """

    mean: FloatArray
    spread: FloatArray
    fill_log: FloatArray


def lesson_of(followed: Followed) -> Lesson:
    """Return what a heap that has been followed teaches.

    Of a share w of what was learnt the next heap's numbers have the mean w m and the variance
    1 - w (1 - s²), with m and s the members' mean and spread: w = 0 is the table's range again,
    w = 1 the members as they are. What is known of a number is never less wide than a tenth of
    its range.

    Parameters
    ----------
    followed : Followed

    """
    shares = carried_shares()
    keep = np.zeros(len(PARAMETER_IDS))
    for place in ADJUSTED:
        is_place = PARAMETER_IDS[place] in OF_THE_PLACE
        keep[place] = shares["site_share" if is_place else "other_share"]
    mean, spread = followed.deviations.mean(axis=0), followed.deviations.std(axis=0)
    variance = 1.0 - keep * (1.0 - np.square(spread))
    return Lesson(
        mean=np.asarray(keep * mean),
        spread=np.sqrt(np.clip(variance, 0.01, 1.0)),
        fill_log=np.asarray(shares["fill_share"] * followed.pools_log.mean(axis=0)),
    )


def taught(standard: FloatArray, lesson: Lesson | None) -> FloatArray:
    """Return deviations of an ensemble that begins with what a lesson expects.

    Parameters
    ----------
    standard : array, shape (members, numbers)
        Standard normal draws.
    lesson : Lesson or None
        None leaves them as they are.

    """
    if lesson is None:
        return standard
    drawn = lesson.mean + lesson.spread * standard
    return np.asarray(np.clip(drawn, -DEVIATIONS_MOST, DEVIATIONS_MOST))


def carried_shares() -> Mapping[str, float]:
    """Return the typical values of the table of what is carried."""
    table = parameter_table("heapwright.fitting", "data/carried.csv")
    return {name: estimate.typical for name, estimate in table.items()}
