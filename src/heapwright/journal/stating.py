"""What a bin's or a lot's entry states: the first state, and what a later statement changes.

Knows one bin and one lot at a time. Knows nothing of heaps or of what is taken from a lot.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from heapwright.heap.types import BinShape
from heapwright.journal.entries import BinState, Entry, LotState
from heapwright.materials.types import Packing
from heapwright.tables import parameter_table

_LOT_KEEPS = ("fullness", "packing", "keep_back", "measured")


def stated_bin(body: Mapping[str, Any], before: BinState | None) -> BinState:
    """Return the bin as stated; what is left out stays as it was, or is the usual."""
    if before is not None:
        return replace(before, **body)
    usual = BinShape(body["width_m"], body["depth_m"], body["height_m"])
    made = BinState(
        key=body["key"],
        name=body["name"],
        width_m=usual.width_m,
        depth_m=usual.depth_m,
        height_m=usual.height_m,
        wall=str(usual.wall),
        cover=str(usual.cover),
        shade=usual.shade,
        order=0,
        batch_key=None,
        ground=str(usual.ground),
    )
    return replace(made, **body)


def new_lot(entry: Entry) -> LotState:
    """Return the lot as its first entry states it."""
    body = entry.body
    measured = body.get("measured", {})
    return LotState(
        key=body["key"],
        material_key=body["material_key"],
        container_name=body["container_name"],
        container_volume_m3=body["container_volume_m3"],
        count=body["count"],
        left=float(body["count"]),
        fullness=_three(body["fullness"]) if "fullness" in body else _usual_fullness(),
        packing=body.get("packing", str(Packing.LOOSE)),
        got_at=entry.at,
        keep_back=body.get("keep_back", 0),
        measured={name: _three(values) for name, values in measured.items()},
    )


def restated_lot(entry: Entry, before: LotState) -> LotState | None:
    """Return the lot counted again; None when it would become another material or container.

    The heaps built from it were weighed by its material and container: those never change.
    """
    now = new_lot(entry)
    was = (before.material_key, before.container_volume_m3)
    if was != (now.material_key, now.container_volume_m3):
        return None
    kept = {name: getattr(before, name) for name in _LOT_KEEPS if name not in entry.body}
    return replace(now, got_at=before.got_at, **kept)


def _usual_fullness() -> tuple[float, float, float]:
    usual = parameter_table("heapwright.journal", "data/defaults.csv")["fullness"]
    return (usual.low, usual.typical, usual.high)


def _three(values: Iterable[float]) -> tuple[float, float, float]:
    low, typical, high = values
    return (low, typical, high)
