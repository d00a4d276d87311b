"""Reads the tables of this room: limits of reports, and the codes by which a sensor says "none".

Knows the tables' form. Decides nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from heapwright.tables import parameter_table, read_rows


def probe_limits() -> Mapping[str, float]:
    """Return the typical values of the table of probes, by id."""
    table = parameter_table("heapwright.probes", "data/probes.csv")
    return {name: estimate.typical for name, estimate in table.items()}


def most_readings() -> int:
    """Return how many readings one message may hold."""
    return int(probe_limits()["most_readings"])


def most_bytes() -> int:
    """Return how large one message may be."""
    return int(probe_limits()["most_bytes"])


@dataclass(frozen=True, slots=True)
class SensorCode:
    """A temperature that is none.

    Attributes
    ----------
    value_c : float
        [°C]
    meaning, do : str
        What the sensor says by it, and what to look at.

    """

    value_c: float
    meaning: str
    do: str


@cache
def sensor_codes() -> tuple[SensorCode, ...]:
    """Return every code of the table."""
    return tuple(
        SensorCode(float(row["value_c"]), row["meaning"], row["do"])
        for row in read_rows("heapwright.probes", "data/sensor_codes.csv")
    )


def code_of(temperature_c: float) -> SensorCode | None:
    """Return what a temperature says if it is a sensor's code and no temperature."""
    # A code that went through °F and back, and was rounded there, is still that code.
    within = probe_limits()["step_c"] / 2
    return next((one for one in sensor_codes() if abs(one.value_c - temperature_c) < within), None)
