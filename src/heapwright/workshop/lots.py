"""Turns the journal's lots into the mixing floor's lots: material looked up, age counted.

Knows how a stored lot and the materials table come together. Knows no recipe.
"""

from __future__ import annotations

from datetime import datetime

from heapwright.journal.entries import LotState
from heapwright.materials.table import load_materials
from heapwright.materials.types import Material, Packing
from heapwright.mixing.types import Lot
from heapwright.tables import Estimate, Evidence

SECONDS_A_DAY = 86_400.0


def material_of(lot: LotState) -> Material:
    """Return the material of a stored lot; its key was checked when it was stored."""
    return load_materials()[lot.material_key]


def mixing_lot(lot: LotState, now: datetime, *, count: int | None = None) -> Lot:
    """Return a stored lot as the mixing floor reads it.

    Parameters
    ----------
    lot : LotState
    now : datetime
        The moment the lot's age is counted to.
    count : int, optional
        Whole containers to say are on hand; what is left of it if not given.

    """
    age = max(0.0, (now - lot.got_at).total_seconds() / SECONDS_A_DAY)
    return Lot(
        key=lot.key,
        material=material_of(lot),
        container_name=lot.container_name,
        container_volume_m3=lot.container_volume_m3,
        count=int(lot.left) if count is None else count,
        fullness=_own(lot.fullness, "how full the container is, as said"),
        packing=Packing(lot.packing),
        age_days=age,
        measured={name: _own(three, "measured") for name, three in lot.measured.items()},
        keep_back=lot.keep_back,
    )


def _own(three: tuple[float, float, float], source: str) -> Estimate:
    low, typical, high = three
    return Estimate(low, typical, high, source, Evidence.MEASURED)
