"""How much compost a bed asks for, when, and what lies on it already.

Knows depths, areas and rounds. Volume is area times depth, exactly: cubic yards are square feet
times inches over 324. Knows no cautions (`cautions.py`) and shares nothing out (`share.py`).
"""

from __future__ import annotations

import calendar
from collections.abc import Sequence
from datetime import date, timedelta

from heapwright.errors import OutOfRange
from heapwright.garden.beds_types import POTTING_MIX, Bed, Layer, Spread, Volume
from heapwright.garden.tables import depths, row_of
from heapwright.tables import Estimate, Evidence
from heapwright.wording import worded

_COMPOSTS = ("own compost", "bought compost", "manure compost")
#: A layer that lacks no more than this of the thinnest one counts as laid: a barrow is no measure.
_NEARLY = 0.98


def layer_m3(area_m2: float, depth_m: float) -> float:
    """Return the volume of a layer: area times depth. [m³]

    Parameters
    ----------
    area_m2 : float
        At least 0. [m²]
    depth_m : float
        At least 0. [m]

    Raises
    ------
    OutOfRange
        If one of them is less than nothing.

    """
    for name, value in (("area", area_m2), ("depth", depth_m)):
        if value < 0:
            raise OutOfRange(
                worded("A layer's {name} of {value:g}", name=name, value=value),
                why="it cannot be less than nothing",
            )
    return area_m2 * depth_m


def advised_depth_m(use: str, phosphorus: str = "unknown") -> Estimate:
    """Return the published depth for a use, where phosphorus is high its low end alone. [m]

    Parameters
    ----------
    use : str
        As in `Bed`, but not potting mix.
    phosphorus : str, default "unknown"

    """
    row = depths()[row_of(use, "m")]
    return _low_end(row) if phosphorus == "high" else row


def soil_depth_m(use: str) -> Estimate | None:
    """Return how deep a use is worked in; None for what stays on top. [m]"""
    return depths().get(row_of(use, "soil_m"))


def most_depth_m(use: str) -> float:
    """Return the deepest layer that any source publishes for a use. [m]"""
    return depths()[row_of(use, "m")].high


def wanted_layer(bed: Bed) -> Layer:
    """Return how much compost one round of a bed asks for.

    Raises
    ------
    OutOfRange
        If the bed has neither the size its use needs.

    """
    if bed.use == POTTING_MIX:
        share = depths()["potting_mix_share"]
        return Layer(None, share, _times(share, _size(bed, bed.mix_m3)))
    area_m2 = _size(bed, bed.area_m2)
    if bed.depth_m is not None:
        own = Estimate.exactly(bed.depth_m, "", Evidence.MEASURED)
        return Layer(own, None, _times(own, area_m2), is_own=True)
    depth = advised_depth_m(bed.use, bed.phosphorus)
    return Layer(depth, None, _times(depth, area_m2))


def too_deep(bed: Bed) -> bool:
    """Return whether the person's own depth is above every published one."""
    if bed.depth_m is None or bed.use == POTTING_MIX:
        return False
    return bed.depth_m > most_depth_m(bed.use) * (1 + 1e-9)


def soil_for_dilution_m(depth_m: float) -> float:
    """Return how deep a layer is to be dug in to be one part in five: four parts soil. [m]"""
    return depth_m * depths()["dilution"].typical


def is_thinly_dug(bed: Bed) -> bool:
    """Return whether the likely layer is more than one part to four of the soil it is dug into."""
    soil, layer = soil_depth_m(bed.use), wanted_layer(bed)
    if soil is None or layer.depth_m is None:
        return False
    return soil_for_dilution_m(layer.depth_m.typical) > soil.high * (1 + 1e-9)


def anniversary(first: date, years: int) -> date:
    """Return the same day so many years later; 29 February becomes the 28th."""
    year = first.year + years
    last = calendar.monthrange(year, first.month)[1]
    return date(year, first.month, min(first.day, last))


def round_due(bed: Bed, today: date) -> date:
    """Return the date of the round that counts today: the one no further than half a year off.

    A bed that wants compost once has one round, which stays until it is laid.
    """
    if not bed.every_year or today <= bed.due:
        return bed.due
    half = timedelta(days=depths()["round_days"].typical)
    years = 0
    while anniversary(bed.due, years) + half < today:
        years += 1
    return anniversary(bed.due, years)


def of_round(bed: Bed, due: date, spreads: Sequence[Spread]) -> tuple[Spread, ...]:
    """Return the compost laid for a round: within half a year of its date.

    Where a bed wants compost every year, each day belongs to one round and none to two. For a bed
    that wants it once, everything since half a year before its date. Raw manure is no compost and
    counts for none.
    """
    half = timedelta(days=depths()["round_days"].typical)
    last = due + half if bed.every_year else date.max
    # Twice half a year lacks a day or two of a year: a round begins where the one before ends.
    is_later = bed.every_year and due > bed.due
    before = anniversary(bed.due, due.year - bed.due.year - 1) + half if is_later else due - half
    return tuple(one for one in spreads if one.what in _COMPOSTS and before < one.on <= last)


def laid_m3(spreads: Sequence[Spread]) -> float:
    """Return the volume of what was laid; what nobody measured counts as nothing. [m³]"""
    return sum(one.volume_m3 or 0.0 for one in spreads)


def is_served(bed: Bed, laid: float, is_past: bool) -> bool:
    """Return whether a round is done with: the usual layer lies there, or the thin one and its
    day is past.
    """
    wanted = wanted_layer(bed).volume_m3
    return laid >= (wanted.low if is_past else wanted.likely) * _NEARLY


def next_due(bed: Bed, today: date, spreads: Sequence[Spread]) -> tuple[date, tuple[Spread, ...]]:
    """Return the date of the round to be served next, and what was laid for it already.

    Parameters
    ----------
    bed : Bed
    today : date
    spreads : sequence of Spread
        All that was ever put on it.

    """
    due = round_due(bed, today)
    laid = of_round(bed, due, spreads)
    if not bed.every_year or not is_served(bed, laid_m3(laid), today > due):
        return due, laid
    # Served: the next one is a year on. Nothing of this round counts for that one.
    following = anniversary(bed.due, due.year - bed.due.year + 1)
    return following, ()


def yearly_depth_m(bed: Bed, today: date, spreads: Sequence[Spread]) -> tuple[float, float] | None:
    """Return the depth laid a year, averaged over the years of the table, and over how many.

    Counts compost of every kind and raw manure. Years before the first spreading are not counted,
    so that two years with one layer each are one layer a year; less than a year is a year. Layers
    are looked for over half a year less, or four layers of four springs, the last one laid a week
    early, would be those of three years.

    Returns
    -------
    (float, float) or None
        Depth [m/year] and years; None for potting mix or when nothing is known.

    """
    known = [one for one in spreads if one.volume_m3 is not None and one.on <= today]
    if bed.area_m2 is None or not known:
        return None
    most = depths()["much_years"].typical
    since = today - timedelta(days=365.25 * most - depths()["round_days"].typical)
    recent = [one for one in known if one.on > since]
    if not recent:
        return 0.0, most
    years = min(most, max(1.0, (today - min(one.on for one in known)).days / 365.25 + 1.0))
    return laid_m3(recent) / bed.area_m2 / years, years


def is_much(bed: Bed, yearly: tuple[float, float] | None) -> bool:
    """Return whether more is laid a year than the deepest published layer for its use.

    A new bed is dug once; from its second year on it is a bed in use.
    """
    if yearly is None or bed.use == POTTING_MIX:
        return False
    depth, years = yearly
    use = "top-up" if bed.use == "new bed" and years > 1 else bed.use
    return depth > most_depth_m(use) * (1 + 1e-9)


def _size(bed: Bed, size: float | None) -> float:
    if size is None or size <= 0:
        raise OutOfRange(
            worded("{name} has no size", name=bed.name),
            why="how much compost it wants cannot be said",
            instead="Give the area of the bed, or how much potting mix is wanted",
        )
    return size


def _times(each: Estimate, size: float) -> Volume:
    return Volume(each.low * size, each.typical * size, each.high * size)


def _low_end(row: Estimate) -> Estimate:
    return Estimate(row.low, row.low, row.low, row.source, row.evidence)
