"""Reads the ledger's bookings out of the journal: water, material, compost out and compost bought.

Knows which entry books what. Sums nothing up.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from zoneinfo import ZoneInfo

from heapwright.garden.ledger_types import Booking, Kind
from heapwright.journal.entries import Entry, EntryKind, GardenState
from heapwright.journal.fold_year import OWN
from heapwright.materials.types import Material, Role
from heapwright.mixing.lots import container_mass_kg
from heapwright.workshop.history import amounts_of

_BOUGHT = "bought compost"


def bookings(state: GardenState) -> tuple[Booking, ...]:
    """Return everything that the journal books, each entry once.

    Compost that is put by is booked when it is spread, not when it is put by. What the journal
    leaves out because it cannot be is not booked either.
    """
    zone = ZoneInfo(state.settings.time_zone)
    found: list[Booking] = []
    seen: set[str] = set()
    for batch in state.batches.values():
        for entry in batch.entries:
            # A heap that was moved onto another one: the move stands in both.
            if entry.id not in seen:
                seen.add(entry.id)
                found += _of_entry(state, entry, entry.at.astimezone(zone).date())
    for spread in state.year.spreads:
        kind = {OWN: Kind.OWN, _BOUGHT: Kind.BOUGHT}.get(spread.what)
        if kind is not None and spread.batch_key is None:
            day = spread.at.astimezone(zone).date()
            found.append(Booking(day, kind, spread.volume_m3))
    return tuple(sorted(found, key=lambda one: one.on))


def _of_entry(state: GardenState, entry: Entry, day: date) -> Iterator[Booking]:
    water = entry.body.get("water_kg")
    if water:
        yield Booking(day, Kind.WATER, float(water))
    if entry.body.get("lines"):
        for lot, count in amounts_of(state, entry):
            kind = kind_of(lot.material)
            known = lot.material.has_numbers
            mass = container_mass_kg(lot).typical * count if known else None
            yield Booking(day, kind, mass)
    if entry.kind is EntryKind.USE and not entry.body.get("store"):
        yield Booking(day, Kind.OWN, entry.body.get("volume_m3"))


def kind_of(material: Material) -> Kind:
    """Return what a material is booked as: kitchen scraps are the food that rots as a green."""
    if material.is_food and material.role is Role.GREEN:
        return Kind.KITCHEN
    if material.role in (Role.GREEN, Role.SUPPLEMENT):
        return Kind.GREENS
    return Kind.BROWNS if material.role is Role.BROWN else Kind.OTHER
