"""How the filter works, read from its table, and how its forecasts are widened.

Knows the table `data/filter.csv`. Knows nothing of heaps.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heapwright.tables import parameter_table

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class FilterSettings:
    """How the filter works; the values are rows of `data/filter.csv`.

    Attributes
    ----------
    members : float
        Followed after the first readings; as many times more are built.
    built_per_member : float
    choosing_readings, choosing_days : float
        So many first readings, within so many days, choose among the heaps built.
    choosing_sd_c : float
        Error of a reading and of the model together, for choosing. [K]
    choosing_least : float
        Effective heaps that must be left by the choice.
    most_surprise, most_surprise_backed : float
        Beyond so many standard deviations an observation is trusted less; the second counts when
        another reading near in time says about the same.
    believed_surprise : float
        A moisture told by hand, nose or eye that still lies so many of its own blurs away is
        believed over members that all agree.
    doubtful_surprise : float
        Beyond so many it is called doubtful.
    forget_per_day : float
        Variance that numbers gain each day, in squared standard deviations of their range.
    drift_k_day : float
        Spread that cell temperatures gain in a day. [K]
    unfollowed_c, unfollowed_hours : float
        What no member can follow of the temperature far ahead [K], and how fast that grows [h].
    agree_k, agree_hours : float
        How near another reading must lie to stand by one that surprises. [K], [h]

    """

    members: float
    built_per_member: float
    choosing_readings: float
    choosing_days: float
    choosing_sd_c: float
    choosing_least: float
    most_surprise: float
    most_surprise_backed: float
    believed_surprise: float
    doubtful_surprise: float
    forget_per_day: float
    drift_k_day: float
    unfollowed_c: float
    unfollowed_hours: float
    agree_k: float
    agree_hours: float


def filter_settings() -> FilterSettings:
    """Return the typical values of the filter's table."""
    table = parameter_table("heapwright.fitting", "data/filter.csv")
    return FilterSettings(**{name: estimate.typical for name, estimate in table.items()})


def reading_errors() -> Mapping[str, float]:
    """Return the typical errors of what is read and seen, by id."""
    table = parameter_table("heapwright.fitting", "data/reading_error.csv")
    return {name: estimate.typical for name, estimate in table.items()}


def heaps_built() -> int:
    """Return how many heaps an ensemble begins with."""
    settings = filter_settings()
    return round(settings.members * settings.built_per_member)


def with_unfollowed(
    ahead_c: FloatArray, lead_hours: FloatArray, settings: FilterSettings, seed: int
) -> FloatArray:
    """Return forecasts with what no member can follow added, so that their band holds the truth.

    Each member keeps one offset of an even bell curve for all hours, so its course stays smooth;
    the offset's size grows as `unfollowed_c` x sqrt(1 - exp(-2 lead / unfollowed_hours)), the
    spread of a first-order process that starts from nothing.

    Parameters
    ----------
    ahead_c : array, shape (hours, members)
        [°C]
    lead_hours : array, shape (hours,)
        Hours since the state was last known; 0 or less adds nothing.
    settings : FilterSettings
    seed : int
        Of which member gets which offset.

    """
    from scipy.special import ndtri

    members = ahead_c.shape[1]
    even = ndtri((np.arange(members) + 0.5) / members)
    offset = np.random.default_rng(seed).permutation(even / even.std())
    grown = 1.0 - np.exp(-2.0 * np.maximum(lead_hours, 0.0) / settings.unfollowed_hours)
    return np.asarray(ahead_c + settings.unfollowed_c * np.sqrt(grown)[:, None] * offset)
