"""How much water, brown or green brings a heap to what it should be: mass balances.

Knows the equations of the mixing core solved for an amount. Knows nothing of what comes of it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from heapwright.decisions.contents import Contents
from heapwright.decisions.types import Addition, StockPart
from heapwright.heap.types import Fill, FloatArray
from heapwright.mixing.balance import mix, water_to_target_kg
from heapwright.mixing.types import Mixture, Part

#: So that what is whole but for rounding is not rounded up to one more.
_ROUNDING = 1e-9


def water_needed_kg(heap: Contents, target: float) -> FloatArray:
    """Return the water that brings each member to a moisture; 0 where it is wet enough.

    W = (G Q - W0) / (1 - G), the mixing core's E10, with Q the wet mass and W0 the water in it.

    Returns
    -------
    array, shape (members,)
        [kg]

    """
    lacking = water_to_target_kg(heap.water_kg + heap.dry_kg, heap.water_kg, target)
    return np.maximum(lacking, 0.0)


def brown_to_moisture(
    heap: Part, stock: Sequence[StockPart], target: float, room_m3: float
) -> Addition | None:
    """Return the fewest whole containers of brown that bring a wet heap down to a moisture.

    With Q and W0 the heap's wet mass and water, q and w those of one container, n containers give
    (W0 + n w) / (Q + n q) = G, so n = (W0 - G Q) / (G q - w); rounded up.

    Parameters
    ----------
    heap : Part
        All of it.
    stock : sequence of StockPart
        Those that are not brown, or wetter than the target, are passed over; the driest first.
    target : float
        Moisture. [0-1]
    room_m3 : float
        Most that may be added.

    Returns
    -------
    Addition or None
        None when nothing on hand can bring it nearer to the target.

    """
    browns = [part for part in stock if part.is_brown and part.one.moisture < target]
    in_order = sorted(browns, key=lambda part: (part.one.moisture, part.key))

    def count(whole: Mixture, one: Part) -> float:
        too_wet = whole.mass_kg * (whole.moisture - target)
        return too_wet / (one.mass_kg * (target - one.moisture))

    lines = _fill_up(heap, in_order, count, room_m3)
    return None if not lines else addition_of(heap, lines, _at_most("moisture", target))


def green_to_c_to_n(
    heap: Part, stock: Sequence[StockPart], target: float, room_m3: float
) -> Addition | None:
    """Return the fewest whole containers of green that bring a lean heap down to a C:N.

    With C and N of the heap and c and n of one container: x = (C - R N) / (R n - c); rounded up.

    Parameters
    ----------
    heap : Part
        All of it.
    stock : sequence of StockPart
        Browns and greens that are leaner than the target are passed over; the richest first.
    target : float
        C:N by mass.
    room_m3 : float
        Most that may be added.

    """

    def gain(part: Part) -> float:
        dry = part.mass_kg * (1.0 - part.moisture)
        return dry * (target * part.nitrogen_dry - part.carbon_dry)

    greens = [part for part in stock if not part.is_brown and gain(part.one) > 0]
    in_order = sorted(greens, key=lambda part: (-part.one.nitrogen_dry, part.key))

    def count(whole: Mixture, one: Part) -> float:
        return (whole.carbon_kg - target * whole.nitrogen_kg) / gain(one)

    lines = _fill_up(heap, in_order, count, room_m3)
    return None if not lines else addition_of(heap, lines, _at_most("c_to_n", target))


def fill_of(addition: Addition) -> Fill:
    """Return what is added as the heap model takes it."""
    whole = mix([addition.whole])
    return Fill(
        wet_mass_kg=whole.mass_kg,
        moisture=whole.moisture,
        volume_m3=whole.volume_m3 or 0.0,
        ash_dry=whole.ash_kg / whole.dry_mass_kg,
        fast_share=whole.fast_share,
        medium_share=whole.medium_share,
        c_to_n=whole.c_to_n,
    )


def _at_most(name: str, target: float) -> Callable[[Mixture], bool]:
    """Return whether a mixture's value lies at or below a target, but for rounding."""
    return lambda after: bool(getattr(after, name) <= target * (1.0 + _ROUNDING))


def _fill_up(
    heap: Part,
    stock: Sequence[StockPart],
    count: Callable[[Mixture, Part], float],
    room_m3: float,
) -> tuple[tuple[StockPart, int], ...]:
    """Take whole containers, lot by lot, until none is lacking or stock or room is at its end."""
    lines: list[tuple[StockPart, int]] = []
    for part in stock:
        whole = mix([heap, *(_times(line, n) for line, n in lines)])
        lacking = math.ceil(count(whole, part.one) - _ROUNDING)
        taken = max(0, min(lacking, part.count, int(room_m3 / _volume(part.one) + _ROUNDING)))
        if taken:
            lines.append((part, taken))
            room_m3 -= taken * _volume(part.one)
    return tuple(lines)


def addition_of(
    heap: Part,
    lines: tuple[tuple[StockPart, int], ...],
    reaches: Callable[[Mixture], bool],
) -> Addition:
    """Return some containers as an addition to a heap, with the heap before and after.

    Parameters
    ----------
    heap : Part
    lines : tuple of (StockPart, int)
        At least one container.
    reaches : callable
        Whether the mixture afterwards is what was wished for.

    """
    parts = [_times(part, count) for part, count in lines]
    before, after = mix([heap]), mix([heap, *parts])
    return Addition(
        lines=lines,
        whole=_as_one(mix(parts)),
        moisture_before=before.moisture,
        moisture_after=after.moisture,
        c_to_n_before=before.c_to_n,
        c_to_n_after=after.c_to_n,
        is_enough=reaches(after),
    )


def _times(part: StockPart, count: int) -> Part:
    return replace(part.one, mass_kg=part.one.mass_kg * count)


def _as_one(whole: Mixture) -> Part:
    return Part(
        name="what is mixed in",
        mass_kg=whole.mass_kg,
        moisture=whole.moisture,
        nitrogen_dry=whole.nitrogen_kg / whole.dry_mass_kg,
        carbon_dry=whole.carbon_kg / whole.dry_mass_kg,
        bulk_density_kg_m3=whole.bulk_density_kg_m3,
        ash_dry=whole.ash_kg / whole.dry_mass_kg,
        fast_share=whole.fast_share,
        medium_share=whole.medium_share,
    )


def _volume(one: Part) -> float:
    return one.mass_kg / (one.bulk_density_kg_m3 or one.mass_kg)
