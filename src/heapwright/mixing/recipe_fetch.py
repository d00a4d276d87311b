"""Finds the smallest thing to fetch with which every wish of a recipe would fit.

Knows what is commonly fetched (table `fetchable.csv`) and how to search over it. Knows nothing of
what is said about the recipe itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from heapwright.materials.table import load_materials
from heapwright.materials.types import Packing, Permission
from heapwright.mixing.constants import choice
from heapwright.mixing.recipe_model import solve
from heapwright.mixing.types import Fetch, Lot, Wishes
from heapwright.mixing.words import joined, of_lot
from heapwright.tables import estimate_from_row, read_rows
from heapwright.wording import worded

#: Points of effort count so much more than the recipe's own cost that the errand is smallest first.
_EFFORT_WEIGHT = 100.0


def fetchable_lots() -> list[tuple[Lot, float]]:
    """Return what is commonly fetched, each with the effort for one container."""
    materials = load_materials()
    found = []
    for row in read_rows("heapwright.mixing", "data/fetchable.csv"):
        lot = Lot(
            key=f"fetch {row['id']}",
            material=materials[row["material"]],
            container_name=row["container_name"],
            container_volume_m3=float(row["container_volume_m3"]),
            count=int(row["most"]),
            fullness=estimate_from_row(row),
            packing=Packing(row["packing"]),
        )
        found.append((lot, float(row["effort"])))
    return found


def smallest_fetch(
    on_hand: Sequence[Lot], wishes: Wishes, fetchable: Sequence[tuple[Lot, float]]
) -> Fetch | None:
    """Return the errand of least effort after which every wish fits, or None if none does.

    Effort is that of the containers plus some for each further kind of thing. The answer is
    checked by choosing again with it among the lots.
    """
    candidates = [(lot, effort) for lot, effort in fetchable if not _is_refused(lot)]
    lots = [*on_hand, *(lot for lot, _ in candidates)]
    nothing = [0.0] * len(on_hand)
    solution = solve(
        lots,
        wishes,
        effort=nothing + [_EFFORT_WEIGHT * points for _, points in candidates],
        effort_of_kind=nothing + [_EFFORT_WEIGHT * choice("effort_of_kind")] * len(candidates),
    )
    if solution is None:
        return None
    counts = solution.counts[len(on_hand) :]
    fetched = [(lot, n) for (lot, _), n in zip(candidates, counts, strict=True) if n]
    return _as_fetch(fetched) if _fits(on_hand, wishes, fetched) else None


def _fits(on_hand: Sequence[Lot], wishes: Wishes, fetched: Sequence[tuple[Lot, int]]) -> bool:
    lots = [*on_hand, *(replace(lot, count=count) for lot, count in fetched)]
    return solve(lots, wishes) is not None


def _is_refused(lot: Lot) -> bool:
    hazard = lot.material.hazard
    return hazard is not None and hazard.permission is Permission.REFUSED


def _as_fetch(fetched: Sequence[tuple[Lot, int]]) -> Fetch | None:
    if not fetched:
        return None
    amounts = joined([of_lot(count, lot) for lot, count in fetched])
    conditions = [
        lot.material.hazard.instead for lot, _ in fetched if lot.material.hazard is not None
    ]
    sentence = " ".join(
        [worded("With {amounts} more, everything fits.", amounts=amounts), *conditions]
    )
    things = [
        Fetch(
            lot.material,
            lot.container_name,
            n,
            worded("{n} as part of that errand.", n=of_lot(n, lot)),
        )
        for lot, n in fetched
    ]
    return replace(things[0], sentence=sentence, also=tuple(things[1:]))
