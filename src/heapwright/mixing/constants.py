"""Gives the mixing floor its sourced numbers by name.

Knows where the tables `constants.csv`, `choice.csv` and `building.csv` lie. Knows nothing of what
the numbers mean.
"""

from __future__ import annotations

from heapwright.tables import parameter_table

_PACKAGE = "heapwright.mixing"


def constant(name: str) -> float:
    """Return the typical value of a row of `data/constants.csv`."""
    return parameter_table(_PACKAGE, "data/constants.csv")[name].typical


def choice(name: str) -> float:
    """Return the typical value of a row of `data/choice.csv`, which holds judgements, not facts."""
    return parameter_table(_PACKAGE, "data/choice.csv")[name].typical


def building(name: str) -> float:
    """Return the typical value of a row of `data/building.csv`."""
    return parameter_table(_PACKAGE, "data/building.csv")[name].typical
