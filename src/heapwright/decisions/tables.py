"""The two tables of this package by id, read once.

Knows where they lie. Knows nothing of what they are for.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from heapwright.tables import Estimate, parameter_table

PACKAGE = "heapwright.decisions"


@cache
def limits() -> Mapping[str, float]:
    """Return the typical values of `data/limits.csv`."""
    return {name: row.typical for name, row in parameter_table(PACKAGE, "data/limits.csv").items()}


def worths() -> Mapping[str, Estimate]:
    """Return the rows of `data/worth.csv`."""
    return parameter_table(PACKAGE, "data/worth.csv")
