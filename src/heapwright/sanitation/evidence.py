"""What trials found heat to do to weed seeds, roots, plant diseases and flies, and where it fits.

Knows `evidence.csv` and which parcels of a heap went through the conditions in it. Promises no
kill: a trial's heat is not this heap's, and what a source did not tell is left blank.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

import numpy as np
from numpy.typing import NDArray

from heapwright.sanitation import times
from heapwright.sanitation.parcels import Parcels
from heapwright.sentences import Sentence, Value, say, temperature
from heapwright.tables import Evidence, read_rows

BoolArray = NDArray[np.bool_]
_DEGREES = re.compile(r"\{t([\d.]+)\}")


class Condition(StrEnum):
    """What kind of condition a source gives."""

    HOT_FOR = "hot for"  # so many hours in all
    PEAK = "peak"  # once that hot, and so many days in the heap
    HOT_EVERY = "hot every"  # at least once in every so many days
    NONE = "none"  # no temperature with a time
    NEVER = "never"  # keep it out of a home heap


@dataclass(frozen=True, slots=True)
class Finding:
    """One row of the evidence.

    Attributes
    ----------
    id, group, organism : str
    kind : Condition
    temperature_c, hours, days : float
        0 where the kind does not use it.
    moist_from : float or None
        Moisture from which heat counts as moist; None when the source says nothing of it. [0-1]
    condition, found, limits : Sentence
        Empty where there is nothing to say.
    source : str
    evidence : Evidence

    """

    id: str
    group: str
    organism: str
    kind: Condition
    temperature_c: float
    hours: float
    days: float
    moist_from: float | None
    condition: Sentence
    found: Sentence
    limits: Sentence
    source: str
    evidence: Evidence


@cache
def load_evidence() -> tuple[Finding, ...]:
    """Return every row of the table in its order."""
    rows = read_rows("heapwright.sanitation", "data/evidence.csv")
    return tuple(_finding(row) for row in rows)


def never_at_home() -> tuple[Finding, ...]:
    """Return what does not belong into a home heap however hot it gets."""
    return tuple(row for row in load_evidence() if row.kind is Condition.NEVER)


def share_through(finding: Finding, parcels: Parcels, *, moist: bool = False) -> float | None:
    """Return the share of a heap that went through a finding's condition, by the model.

    Parameters
    ----------
    finding : Finding
    parcels : Parcels
    moist : bool
        Count only the hours in which the parcel's place was moist, for dry pockets protect seed.

    Returns
    -------
    float or None
        [0-1]; None when the source gives no condition that can be followed, or the run is too
        short for it.

    """
    if moist and finding.moist_from is None:
        return None
    field = parcels.temperature_c
    if finding.kind is Condition.HOT_FOR:
        counts = parcels.moisture[1:] >= (finding.moist_from or 0.0) if moist else None
        spent = times.in_all(field, finding.temperature_c, counts=counts)
        return parcels.share(spent >= finding.hours - times.TINY)
    if finding.kind is Condition.PEAK:
        return parcels.share(_peaked(finding, parcels))
    if finding.kind is Condition.HOT_EVERY and parcels.hours >= times.HOURS_A_DAY * finding.days:
        later = parcels.hours - (field.shape[0] - 1)
        coolest = times.longest_below(field, finding.temperature_c, later)
        return parcels.share(coolest <= times.HOURS_A_DAY * finding.days)
    return None


def _peaked(finding: Finding, parcels: Parcels) -> BoolArray:
    """Return which parcels were once that hot and have been in the heap long enough."""
    old_enough = parcels.hours - parcels.birth_hour >= times.HOURS_A_DAY * finding.days
    return np.asarray((parcels.hottest_c >= finding.temperature_c) & old_enough)


def _finding(row: Mapping[str, str]) -> Finding:
    return Finding(
        id=row["id"],
        group=row["group"],
        organism=row["organism"],
        kind=Condition(row["kind"]),
        temperature_c=float(row["temperature_c"] or 0.0),
        hours=float(row["hours"] or 0.0),
        days=float(row["days"] or 0.0),
        moist_from=float(row["moist_from"]) if row["moist_from"] else None,
        condition=_with_degrees(row["condition"]),
        found=_with_degrees(row["found"]),
        limits=_with_degrees(row["limits"]),
        source=row["source"],
        evidence=Evidence(row["evidence"]),
    )


def _with_degrees(text: str) -> Sentence:
    """Return a sentence whose temperatures, written {t55}, are told in the reader's unit."""
    values: dict[str, Value] = {}

    def named(match: re.Match[str]) -> str:
        name = "t" + match[1].replace(".", "_")
        values[name] = temperature(float(match[1]))
        return "{" + name + "}"

    return say(_DEGREES.sub(named, text), **values)
