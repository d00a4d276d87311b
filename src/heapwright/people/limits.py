"""Reads the table of how long passphrases are, how long sign-ins last and how waits grow.

Knows the table's form. Decides nothing.
"""

from __future__ import annotations

from functools import cache

from heapwright.tables import parameter_table

PACKAGE = "heapwright.people"


@cache
def limit(name: str) -> float:
    """Return the value in use of a row of `data/limits.csv`, in the row's own unit."""
    return parameter_table(PACKAGE, "data/limits.csv")[name].typical


def whole(name: str) -> int:
    """Return a row that counts something."""
    return int(limit(name))
