"""How much green and brown a heap takes for its C:N, from what the materials hold.

Knows the balance of carbon and nitrogen of two classes of material, draw by draw over what is not
known of them. Knows no calendar, no stock and no plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import OutOfRange
from heapwright.materials.types import Material, Packing
from heapwright.mixing.balance import water_to_target_kg
from heapwright.mixing.spread import draw_mixtures
from heapwright.mixing.targets import band
from heapwright.mixing.types import Lot
from heapwright.tables import Estimate, Evidence
from heapwright.wording import worded

FloatArray = NDArray[np.float64]
#: Draws of what is not known of the materials; the first is the likely one.
DRAWS = 200
GREENS, BROWNS = "greens", "browns"


@dataclass(frozen=True, slots=True)
class Matter:
    """What one m³ of stuff as it is stored holds, draw by draw, each of shape (draws,).

    Attributes
    ----------
    mass_kg, water_kg, carbon_kg, nitrogen_kg : array
    heap_m3 : array
        What it takes up in a new heap: what was pressed is shaken out. [m³]

    """

    mass_kg: FloatArray
    water_kg: FloatArray
    carbon_kg: FloatArray
    nitrogen_kg: FloatArray
    heap_m3: FloatArray

    @property
    def c_to_n(self) -> FloatArray:
        """Carbon to nitrogen by mass, shape (draws,); infinite without nitrogen."""
        ratio = np.full(self.carbon_kg.shape, np.inf)
        np.divide(self.carbon_kg, self.nitrogen_kg, out=ratio, where=self.nitrogen_kg > 0)
        return ratio


def matter_of(lot: Lot, *, seed: int = 0, draws: int = DRAWS) -> Matter:
    """Return what one m³ of a lot holds as it lies in its containers.

    Parameters
    ----------
    lot : Lot
    seed : int, default 0
        The same seed draws the same of a material wherever it is used.
    draws : int

    """
    volume_m3 = lot.container_volume_m3 * lot.fullness.typical
    drawn = draw_mixtures([(lot, 1.0 / volume_m3)], seed=seed, draws=draws, likely_first=True)
    return Matter(drawn.mass, drawn.water, drawn.carbon, drawn.nitrogen, drawn.volume)


def loose_lot(material: Material, packing: Packing = Packing.LOOSE) -> Lot:
    """Return one m³ of a material, of which nothing more is known than the table says."""
    return Lot(
        key=f"{material.key}-{packing.value}",
        material=material,
        container_name="m³",
        container_volume_m3=1.0,
        count=1,
        fullness=Estimate.exactly(1.0, "a full m³", Evidence.DERIVED),
        packing=packing,
    )


def blended(parts: Sequence[tuple[Matter, float]]) -> Matter:
    """Return one m³ of several stuffs together, by their volumes as stored.

    Raises
    ------
    OutOfRange
        Without any volume.

    """
    total = float(sum(volume for _, volume in parts))
    if not total > 0.0:
        raise OutOfRange("A blend of nothing", why="some volume is needed to make one of")
    names = Matter.__slots__
    sums = {
        name: np.sum([getattr(one, name) * (volume / total) for one, volume in parts], axis=0)
        for name in names
    }
    return Matter(**sums)


@dataclass(frozen=True, slots=True)
class Need:
    """What one m³ of new heap takes, draw by draw, each of shape (draws,).

    Attributes
    ----------
    greens_m3, browns_m3 : array
        As they are stored. [m³/m³]
    water_kg : array
        To the moisture wished for; 0 where it is wet enough. [kg/m³]
    c_to_n : array
        What comes out: the target, or what the greens alone have where they need no brown.

    """

    greens_m3: FloatArray
    browns_m3: FloatArray
    water_kg: FloatArray
    c_to_n: FloatArray


def need_for(
    greens: Matter, browns: Matter, *, c_to_n: float | None = None, moisture: float = 0.55
) -> Need:
    """Return what one m³ of new heap takes of greens and browns to meet a C:N.

    With C and N the carbon and nitrogen of a m³ of greens (g) and browns (b), the browns for each
    m³ of greens follow from (C_g + r C_b) / (N_g + r N_b) = R:

        r = (R N_g - C_g) / (C_b - R N_b)

    and a heap of one m³ from r and what each takes up in it. Volumes are taken to add, as in
    `mixing.balance.mix`.

    Parameters
    ----------
    greens, browns : Matter
    c_to_n : float, optional
        R; the middle of the ideal band (Cooperband 2002: 25 to 35) if not given.
    moisture : float
        Wished for after wetting, wet basis. [0-1]

    Raises
    ------
    OutOfRange
        If the browns are no browns: by the likely values their own C:N is not above the target.

    """
    wished = band("wish_c_to_n_ideal").ideal if c_to_n is None else c_to_n
    room = browns.carbon_kg - wished * browns.nitrogen_kg
    if room[0] <= 0.0:
        raise OutOfRange(
            worded("Browns with a C:N of {ratio:.0f}", ratio=float(browns.c_to_n[0])),
            why=worded("they cannot bring a heap to {wished:g}", wished=wished),
            instead="Save dry leaves, straw or cardboard for it",
        )
    lacking = np.maximum(wished * greens.nitrogen_kg - greens.carbon_kg, 0.0)
    # A draw in which the browns are none says only that the likely ones are needed at the least.
    ratio = np.where(room > 0.0, lacking / np.maximum(room, 0.05 * room[0]), np.inf)
    ratio = np.minimum(ratio, lacking / (0.05 * room[0]))
    greens_m3 = 1.0 / (greens.heap_m3 + ratio * browns.heap_m3)
    browns_m3 = ratio * greens_m3
    mass = greens_m3 * greens.mass_kg + browns_m3 * browns.mass_kg
    water = greens_m3 * greens.water_kg + browns_m3 * browns.water_kg
    carbon = greens_m3 * greens.carbon_kg + browns_m3 * browns.carbon_kg
    nitrogen = greens_m3 * greens.nitrogen_kg + browns_m3 * browns.nitrogen_kg
    return Need(
        greens_m3=np.asarray(greens_m3),
        browns_m3=np.asarray(browns_m3),
        water_kg=np.asarray(np.maximum(water_to_target_kg(mass, water, moisture), 0.0)),
        c_to_n=np.asarray(carbon / nitrogen),
    )
