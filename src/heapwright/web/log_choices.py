"""What the Log form offers to tap: the usual amounts of water, the lots in use, the next bin.

Knows what is usual. Knows nothing of what is stored.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from heapwright.journal.entries import BinState, EntryKind, GardenSettings, GardenState, LotState
from heapwright.web.water_form import water_units

#: Amounts people pour (common practice): a pail or a few, half a minute of the hose or a few.
_PAILS = (1, 2, 3)
_HOSE_S = (30, 60, 120)
#: Lots that stand open on the form; the others are folded away.
_NEAR_LOTS = 3


@dataclass(frozen=True, slots=True)
class WaterTap:
    """One usual amount of water: as the form sends it, its unit and count, and its mass. [kg]"""

    value: str
    unit: str
    count: int
    water_kg: float


def water_taps(settings: GardenSettings) -> tuple[WaterTap, ...]:
    """Return the amounts to tap; seconds of the hose only when its flow was timed."""
    counts = {"pail": _PAILS, "hose": _HOSE_S}
    return tuple(
        WaterTap(f"{unit.key}:{count}", unit.key, count, count * unit.each_kg)
        for unit in water_units(settings)
        for count in counts.get(unit.key, ())
    )


def next_free(row: Sequence[BinState]) -> Mapping[str, str]:
    """Return for each bin the one that follows in the row, when nothing stands in it."""
    return {here.key: there.key for here, there in pairwise(row) if there.batch_key is None}


def lots_to_offer(state: GardenState) -> tuple[list[LotState], list[LotState]]:
    """Return the lots used last, and the others; those with nothing left are in neither."""
    used: dict[str, int] = {}
    taken = [
        entry
        for batch in state.batches.values()
        for entry in batch.entries
        if entry.kind in (EntryKind.BUILD, EntryKind.ADD)
    ]
    for place, entry in enumerate(sorted(taken, key=lambda one: one.at)):
        used |= {str(line["lot"]): place for line in entry.body.get("lines", ())}
    left = [lot for lot in state.lots.values() if lot.left > 0]
    left.sort(key=lambda lot: -used.get(lot.key, -1))
    return left[:_NEAR_LOTS], left[_NEAR_LOTS:]
