"""The tables of this package by id, read once.

Knows where they lie and how a use is written in them. Knows nothing of what they are for.
"""

from __future__ import annotations

from collections.abc import Mapping

from heapwright.tables import Estimate, parameter_table

PACKAGE = "heapwright.garden"


def depths() -> Mapping[str, Estimate]:
    """Return the rows of `data/depths.csv`."""
    return parameter_table(PACKAGE, "data/depths.csv")


def nutrients() -> Mapping[str, Estimate]:
    """Return the rows of `data/nutrients.csv`."""
    return parameter_table(PACKAGE, "data/nutrients.csv")


def row_of(use: str, ending: str) -> str:
    """Return the id of a use's row: "new bed" and "soil_m" give "new_bed_soil_m"."""
    return f"{use.replace('-', '_').replace(' ', '_')}_{ending}"
