"""Gives the mixing floor its sourced numbers by name.

Knows where the tables `constants.csv` and `building.csv` lie. Knows nothing of what the numbers
mean.
"""

from __future__ import annotations

from heapwright.tables import parameter_table

_PACKAGE = "heapwright.mixing"


def constant(name: str) -> float:
    """Return the typical value of a row of `data/constants.csv`."""
    return parameter_table(_PACKAGE, "data/constants.csv")[name].typical
