"""Holds a site's distances beside what codes of several places ask for; never a rule.

Knows the examples of data/distances.csv and how one is told. Which code binds is the reader's own.
"""

from __future__ import annotations

from heapwright.garden.site_types import DistanceExample, Site
from heapwright.garden.tables import PACKAGE
from heapwright.sentences import Measure, Sentence, Value, inside, say, span
from heapwright.tables import Estimate, parameter_table

_NAMES: dict[str, tuple[Sentence, Measure]] = {
    "fence_m": (say("To the boundary"), Measure.LENGTH),
    "dwelling_m": (say("To a neighbour's dwelling"), Measure.LENGTH),
    "house_m": (say("To your own house and to wood"), Measure.LENGTH),
    "well_m": (say("To a well or stream"), Measure.LENGTH),
    "height_m": (say("Height of a heap"), Measure.LENGTH),
    "volume_m3": (say("All heaps together"), Measure.VOLUME),
    "ground_m2": (say("Ground taken up"), Measure.AREA),
}
#: Of these more is stricter to keep under; of the others more is farther away.
_AT_MOST = frozenset({"height_m", "volume_m3", "ground_m2"})


def distances(
    site: Site, *, height_m: float | None, volume_m3: float | None, ground_m2: float | None
) -> tuple[DistanceExample, ...]:
    """Return every example beside what there is or is planned.

    Parameters
    ----------
    site : Site
    height_m, volume_m3, ground_m2 : float or None
        Of the bins that are planned: height of one, volume and ground of all.

    """
    here = {
        "fence_m": site.fence_m,
        "dwelling_m": site.dwelling_m,
        "well_m": site.well_m,
        "height_m": height_m,
        "volume_m3": volume_m3,
        "ground_m2": ground_m2,
    }
    rows = parameter_table(PACKAGE, "data/distances.csv")
    return tuple(_example(name, row, here.get(name)) for name, row in rows.items())


def _example(name: str, row: Estimate, here: float | None) -> DistanceExample:
    label, measure = _NAMES[name]
    values = {
        "what": inside(label),
        "range": span(row.low, row.high, measure),
        "here": Value(here if here is not None else row.low, measure),
    }
    return DistanceExample(
        id=name,
        low=row.low,
        typical=row.typical,
        high=row.high,
        here=here,
        told=_told(name, row, here, values),
        source=row.source,
        evidence=row.evidence,
    )


def _told(name: str, row: Estimate, here: float | None, values: dict[str, Value]) -> Sentence:
    """Return the example in words; a distance that is not said counts for nothing."""
    if here is None:
        asked = {"what": values["what"], "range": values["range"]}
        if name in _AT_MOST:
            return say("{what}: at most {range}, by place.", **asked)
        return say("{what}: at least {range}, by place.", **asked)
    if name in _AT_MOST:
        if here > row.high * (1 + 1e-9):
            return say("{what}: {here} is more than any example allows ({range}).", **values)
        if here > row.low * (1 + 1e-9):
            return say("{what}: {here} is too much in some places ({range} at most).", **values)
        return say("{what}: {here} is within every example ({range} at most).", **values)
    if here < row.low * (1 - 1e-9):
        return say("{what}: {here} is nearer than any example allows ({range}).", **values)
    if here < row.high * (1 - 1e-9):
        return say("{what}: {here} is too near in some places ({range} at least).", **values)
    return say("{what}: {here} is enough in every example ({range} at least).", **values)
