"""The heap this garden usually builds: what the latest was made of, or a likely mixture.

Knows where a usual recipe comes from and how it is scaled to a bin. Runs no heap.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from heapwright.heap.types import Fill
from heapwright.journal.entries import BatchState, BinState, Entry, EntryKind, GardenState
from heapwright.materials.table import load_materials
from heapwright.materials.types import Packing
from heapwright.mixing.types import Lot
from heapwright.season.needs import blended, loose_lot, matter_of, need_for
from heapwright.sentences import Sentence, say, word
from heapwright.workshop.garden import Garden
from heapwright.workshop.history import amounts_of, bin_shape, mixed_fills, that_can_be

#: What is taken until a heap was written down: half clippings, half scraps, and leaves to suit.
LIKELY_GREENS = ("grass_clippings_loose", "vegetable_scraps")
LIKELY_BROWNS = "leaves_mixed_dry"
_SEED = 52


@dataclass(frozen=True, slots=True)
class UsualHeap:
    """What is usually built.

    Attributes
    ----------
    fills : tuple of Fill
        One draw for each member, each filling the bin; the first is the likely one.
    build_water_kg : float
        Put in while building. [kg]
    materials : tuple of str
        Keys and kinds of what goes in.
    batch_name : str
        Of the heap it was taken from, "" when none was written down.
    notes : tuple of Sentence
        Where it comes from.

    """

    fills: tuple[Fill, ...]
    build_water_kg: float
    materials: tuple[str, ...]
    batch_name: str
    notes: tuple[Sentence, ...]


def usual_heap(
    garden: Garden, bin_state: BinState, members: int, *, moisture: float, shredding: bool
) -> UsualHeap:
    """Return the heap that this garden usually builds, scaled to fill a bin.

    The latest heap that was built from lots is taken; without any, grass clippings and scraps
    with dry leaves to a C:N of 30.

    Parameters
    ----------
    garden : Garden
    bin_state : BinState
    members : int
        Draws of what goes in.
    moisture : float
        To which the likely mixture is wetted. [0-1]
    shredding : bool
        Leaves are shredded before they go in: that packs more of them into the bin. Nothing else
        is changed by it, for the model has no other number for it.

    """
    state = garden.state()
    built = _latest(state)
    if built is None:
        parts, water_kg = _likely_parts(moisture, shredding)
        name, notes = "", (_likely_words(),)
    else:
        batch, entry = built
        parts, water_kg = amounts_of(state, entry), float(entry.body.get("water_kg", 0.0))
        name = batch.name
        notes = (say("Each heap is taken to be like {heap}, filling the bin.", heap=word(name)),)
    if shredding:
        parts = [_shredded(lot, count) for lot, count in parts]
    drawn = that_can_be(mixed_fills(parts, water_kg, members, _SEED))
    shape = bin_shape(bin_state)
    factor = shape.volume_m3 / drawn[0].volume_m3
    return UsualHeap(
        fills=tuple(_scaled(fill, factor, shape.volume_m3) for fill in drawn),
        build_water_kg=water_kg * factor,
        materials=tuple({key for lot, _ in parts for key in (lot.material.key, lot.material.kind)}),
        batch_name=name,
        notes=notes,
    )


def _latest(state: GardenState) -> tuple[BatchState, Entry] | None:
    """Return the heap built last from lots, with the entry that says so."""
    for batch in sorted(state.batches.values(), key=lambda one: one.built_at, reverse=True):
        built = next(one for one in batch.entries if one.kind is EntryKind.BUILD)
        if built.body.get("lines"):
            return batch, built
    return None


def _likely_parts(moisture: float, shredding: bool) -> tuple[list[tuple[Lot, float]], float]:
    """Return m³ of the materials in a m³ of a likely heap, and the water for it."""
    table = load_materials()
    greens = [loose_lot(table[key]) for key in LIKELY_GREENS]
    browns = loose_lot(table[LIKELY_BROWNS], Packing.SHREDDED if shredding else Packing.LOOSE)
    half = 1.0 / len(greens)
    need = need_for(
        blended([(matter_of(lot), half) for lot in greens]), matter_of(browns), moisture=moisture
    )
    parts = [(lot, half * float(need.greens_m3[0])) for lot in greens]
    return [*parts, (browns, float(need.browns_m3[0]))], float(need.water_kg[0])


def _likely_words() -> Sentence:
    names = [load_materials()[key].name for key in (*LIKELY_GREENS, LIKELY_BROWNS)]
    return say(
        "No heap built from stock is written down yet, so a likely one is taken: {first} and "
        "{second}, with {browns} to a C:N of 30.",
        first=word(names[0]),
        second=word(names[1]),
        browns=word(names[2]),
    )


def _shredded(lot: Lot, count: float) -> tuple[Lot, float]:
    """Return the same containers filled with shredded leaves; other lots stay."""
    if lot.material.kind != "leaf" or lot.packing is not Packing.LOOSE:
        return lot, count
    return replace(lot, packing=Packing.SHREDDED), count


def _scaled(fill: Fill, factor: float, most_m3: float) -> Fill:
    """Return the fill made larger or smaller; what would stand above the rim is pressed in."""
    return replace(
        fill, wet_mass_kg=fill.wet_mass_kg * factor, volume_m3=min(fill.volume_m3 * factor, most_m3)
    )
