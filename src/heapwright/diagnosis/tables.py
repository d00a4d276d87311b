"""Reads the tables of causes, signs and how often each cause shows each sign.

Knows the tables' form. Weighs nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

import numpy as np

from heapwright.diagnosis.types import Cause, FloatArray, Sign
from heapwright.tables import parameter_table, read_rows

PACKAGE = "heapwright.diagnosis"
#: Stands in the evidence table for every cause without a row of its own.
ANY = "any"
LOW, TYPICAL, HIGH = range(3)


def limits() -> Mapping[str, float]:
    """Return the typical limits, by id."""
    table = parameter_table(PACKAGE, "data/limits.csv")
    return {name: estimate.typical for name, estimate in table.items()}


@cache
def causes() -> tuple[Cause, ...]:
    """Return every cause, "nothing is wrong" first."""
    return tuple(
        Cause(
            id=row["id"],
            name=row["name"],
            told=row["told"],
            prior=_three(row),
            remedy=row["remedy"],
            source=row["source"],
            place=row["place"],
        )
        for row in read_rows(PACKAGE, "data/causes.csv")
    )


@cache
def signs() -> Mapping[str, Sign]:
    """Return every sign by its id, in the table's order."""
    return {
        row["id"]: Sign(
            id=row["id"],
            kind=row["kind"],
            outcomes=tuple(row["outcomes"].split("|")),
            said=tuple(row["said"].split("|")),
            weight=_three(row),
            effort=float(row["effort"]),
            ask=row["ask"],
            words=row["words"],
        )
        for row in read_rows(PACKAGE, "data/signs.csv")
    }


@cache
def shares() -> Mapping[str, FloatArray]:
    """Return how often each cause shows each outcome: (causes, outcomes, low-typical-high)."""
    known: dict[tuple[str, str], dict[str, tuple[float, float, float]]] = {}
    for row in read_rows(PACKAGE, "data/evidence.csv"):
        known.setdefault((row["sign"], row["cause"]), {})[row["outcome"]] = _three(row)
    return {sign.id: _of_sign(sign, known) for sign in signs().values()}


def _of_sign(
    sign: Sign, known: Mapping[tuple[str, str], Mapping[str, tuple[float, float, float]]]
) -> FloatArray:
    rows = []
    for cause in causes():
        told = known.get((sign.id, cause.id), known[(sign.id, ANY)])
        if sign.kind == "tick":
            low, typical, high = told["yes"]
            rows.append([(low, typical, high), (1.0 - high, 1.0 - typical, 1.0 - low)])
        else:
            rows.append([told[outcome] for outcome in sign.outcomes])
    return np.array(rows)


def _three(row: Mapping[str, str]) -> tuple[float, float, float]:
    return float(row["low"]), float(row["typical"]), float(row["high"])
