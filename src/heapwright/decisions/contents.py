"""What a standing heap holds, member by member and as one likely mixture.

Knows how the model's cells add up to masses, carbon and nitrogen. Knows nothing of time.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heapwright.heap import layout
from heapwright.heap.resume import Standing
from heapwright.heap.types import FloatArray
from heapwright.mixing.types import Part


@dataclass(frozen=True, slots=True)
class Contents:
    """Whole heaps, each array of shape (members,).

    Attributes
    ----------
    water_kg, dry_kg, ash_kg, carbon_kg, nitrogen_kg, fast_kg, medium_kg, built_in_kg : array
        `built_in_kg` is the degradable matter put in since the beginning.
    volume_m3 : array

    """

    water_kg: FloatArray
    dry_kg: FloatArray
    ash_kg: FloatArray
    carbon_kg: FloatArray
    nitrogen_kg: FloatArray
    fast_kg: FloatArray
    medium_kg: FloatArray
    built_in_kg: FloatArray
    volume_m3: FloatArray

    @property
    def moisture(self) -> FloatArray:
        """Water as share of the wet mass, shape (members,)."""
        return np.asarray(self.water_kg / (self.water_kg + self.dry_kg))

    @property
    def c_to_n(self) -> FloatArray:
        """Carbon to nitrogen by mass, shape (members,); infinite without nitrogen."""
        ratio = np.full(self.carbon_kg.shape, np.inf)
        np.divide(self.carbon_kg, self.nitrogen_kg, out=ratio, where=self.nitrogen_kg > 0)
        return ratio

    @property
    def left(self) -> FloatArray:
        """Degradable matter left, as share of what was built in, shape (members,)."""
        return np.asarray((self.fast_kg + self.medium_kg) / self.built_in_kg)

    def likely(self) -> Part:
        """Return the heap as one part for the mixing core: the median of each amount."""
        water, dry = _middle(self.water_kg), _middle(self.dry_kg)
        ash = _middle(self.ash_kg)
        solids = max(dry - ash, 1e-9)
        return Part(
            name="the heap",
            mass_kg=water + dry,
            moisture=water / (water + dry),
            nitrogen_dry=_middle(self.nitrogen_kg) / dry,
            carbon_dry=_middle(self.carbon_kg) / dry,
            bulk_density_kg_m3=(water + dry) / _middle(self.volume_m3),
            ash_dry=min(ash / dry, 1.0),
            fast_share=min(_middle(self.fast_kg) / solids, 1.0),
            medium_share=min(_middle(self.medium_kg) / solids, 1.0),
        )


def contents(standing: Standing) -> Contents:
    """Return what standing heaps hold."""
    state = standing.state
    cells = state.cells

    def total(field: int) -> FloatArray:
        return np.asarray(cells[:, field].sum(axis=(1, 2)))

    dry, ash = state.dry_kg.sum(axis=(1, 2)), total(layout.ASH)
    return Contents(
        water_kg=total(layout.WATER),
        dry_kg=np.asarray(dry),
        ash_kg=ash,
        carbon_kg=np.asarray(state.parameters["carbon_of_solids"] * (dry - ash)),
        nitrogen_kg=total(layout.NITROGEN) + total(layout.AMMONIUM),
        fast_kg=total(layout.FAST),
        medium_kg=total(layout.MEDIUM),
        built_in_kg=np.asarray(state.books["degradable_in_kg"]).copy(),
        volume_m3=np.asarray(state.volume_m3),
    )


def _middle(values: FloatArray) -> float:
    return float(np.median(values))
