"""An invented garden with many heaps that are used up, for tests and measurements. Nobody's own."""

from __future__ import annotations

from datetime import timedelta

from heapwright.journal.entries import EntryKind
from heapwright.workshop import build, stock
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log

DAY = timedelta(days=1)


def a_finished_heap(garden: Garden, number: int, *, days_ago: float, slow: float = 0.0) -> str:
    """Build, read, turn, cure and use up a heap; returns its key.

    Parameters
    ----------
    garden : Garden
        With bins `left` and `right`, both empty at that time.
    number : int
        Makes its name and how much goes into it.
    days_ago : float
        When it was built; it is used up 75 days later.
    slow : float
        How many days later it gets hot.

    """
    at = garden.now() - days_ago * DAY
    for material, count in (("leaves", 3), ("grass", 2)):
        stock.add_lot(
            garden, material=material, container="wheelbarrow", count=count, at=at, origin="page"
        )
    lots = [one.lot for one in stock.stock(garden) if one.lot.left >= 2]
    counts = {lot.key: int(lot.left) for lot in lots}
    name = f"Heap {number}"
    build.record_build(garden, "left", counts, 20.0 + 6.0 * number, name, at=at, origin="page")

    def told(kind: EntryKind, day: float, bin: str = "left", **body: object) -> None:
        log(garden, kind, {"bin": bin, **body}, at=at + day * DAY, origin="page")

    for day in range(1, 40):
        heat = 62.0 - 0.6 * (day - slow) if day > slow else 40.0
        told(EntryKind.READING, day + 0.1, temperature_c=max(24.0, heat), depth_m=0.45)
    told(EntryKind.TURN, 10, how="stir", water_kg=10.0)
    told(EntryKind.CURE, 41)
    told(EntryKind.USE, 75, volume_m3=0.2 + 0.01 * number)
    told(EntryKind.USE, 75.1, all=True, volume_m3=0.01)
    return next(one.key for one in garden.state().batches.values() if one.name == name)
