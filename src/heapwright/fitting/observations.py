"""What was seen of a heap, as the filter compares it with the model.

Knows the kinds of observation, their place, time and error. Knows no journal.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from heapwright.heap import layout
from heapwright.heap.probe import standing_temperature
from heapwright.heap.resume import Standing
from heapwright.heap.types import FloatArray


@dataclass(frozen=True, slots=True)
class TemperatureSeen:
    """A thermometer reading.

    Attributes
    ----------
    hour : int
        Hours since the heap was built.
    value_c : float
        [°C]
    depth_m : float
        Of the tip below the top. [m]
    radius_fraction : float
        Distance from the axis as share of the radius. [0-1]
    error_sd_c : float
        Of reading and place together. [°C]
    source_id : str
        Whatever the caller knows it by.

    """

    hour: int
    value_c: float
    depth_m: float
    radius_fraction: float
    error_sd_c: float
    source_id: str = ""

    @property
    def value(self) -> float:
        """What was seen."""
        return self.value_c

    @property
    def error_sd(self) -> float:
        """Standard deviation of its error."""
        return self.error_sd_c

    def predicted(self, standing: Standing) -> FloatArray:
        """Return what each member says it should read, shape (members,). [°C]"""
        return standing_temperature(standing, self.depth_m, self.radius_fraction)


@dataclass(frozen=True, slots=True)
class MoistureSeen:
    """Moisture told by hand, nose or eye: a range and how sharp its ends are. [0-1, wet basis]"""

    hour: int
    low: float
    high: float
    edge_sd: float
    source_id: str = ""

    @property
    def value(self) -> float:
        """The middle of the range."""
        return 0.5 * (self.low + self.high)

    @property
    def error_sd(self) -> float:
        """A range spread evenly has this deviation; its blurred ends add theirs."""
        return float(np.hypot((self.high - self.low) / np.sqrt(12.0), self.edge_sd))

    def outside_by(self, moisture: float) -> float:
        """Return how far the nearest end of the range lies from a moisture; 0 inside it."""
        return float(np.clip(moisture, self.low, self.high)) - moisture

    def predicted(self, standing: Standing) -> FloatArray:
        """Return the moisture of each member's heap, shape (members,)."""
        state = standing.state
        water = state.cells[:, layout.WATER].sum(axis=(1, 2))
        return np.asarray(water / (water + state.dry_kg.sum(axis=(1, 2))))


@dataclass(frozen=True, slots=True)
class HeightSeen:
    """The level of the heap in its bin. [m]"""

    hour: int
    value_m: float
    error_sd_m: float
    source_id: str = ""

    @property
    def value(self) -> float:
        """What was seen."""
        return self.value_m

    @property
    def error_sd(self) -> float:
        """Standard deviation of its error."""
        return self.error_sd_m

    def predicted(self, standing: Standing) -> FloatArray:
        """Return each member's height, shape (members,). [m]"""
        state = standing.state
        return np.asarray(state.volume_m3 / state.foot_m2)


Seen = TemperatureSeen | MoistureSeen | HeightSeen


def is_backed(one: Seen, others: Sequence[Seen], within_k: float, within_hours: float) -> bool:
    """Return whether another reading near in time says about the same as this one.

    What is no reading needs no backing.
    """
    if not isinstance(one, TemperatureSeen):
        return True
    return any(
        other is not one
        and isinstance(other, TemperatureSeen)
        and abs(other.hour - one.hour) <= within_hours
        and abs(other.value_c - one.value_c) <= within_k
        for other in others
    )
