"""Carries the uncertainty of the table into the mixture: "C:N 24 to 38, likely 30".

Knows how ranges are sampled and which draws lots share. Knows nothing of choosing amounts.
"""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heapwright.materials.types import Packing
from heapwright.mixing.balance import mix, solid_and_water_volume_m3, water_to_target_kg
from heapwright.mixing.lots import (
    check_lot,
    container_part,
    dry_matter_factor,
    packing_factor,
    property_of,
)
from heapwright.mixing.types import Lot, MixtureRange
from heapwright.tables import Estimate, Evidence

FloatArray = NDArray[np.float64]

#: The 95th percentile of a standard normal distribution: an estimate's high is read as that.
_Z95 = 1.6448536269514722
#: Draws further out than this many standard deviations are pulled in: nothing known lies there.
_FURTHEST = 2.5
#: A share of moisture or ash never gets nearer to 1 than this, so that dry mass stays positive.
_MOST = 0.995
DEFAULT_DRAWS = 2000


def mixture_range(
    amounts: Sequence[tuple[Lot, float]],
    water_kg: float = 0.0,
    target_moisture: float | None = None,
    *,
    seed: int = 0,
    draws: int = DEFAULT_DRAWS,
) -> MixtureRange:
    """Return the likely mixture of some containers and its 5th to 95th percentiles.

    Parameters
    ----------
    amounts : sequence of (Lot, float)
        Lots with the number of containers of each.
    water_kg : float, default 0
        Water added. [kg]
    target_moisture : float, optional
        As for `mix`.
    seed : int, default 0
        The same seed gives the same draws for a material wherever it is used.
    draws : int, default 2000

    Returns
    -------
    MixtureRange

    Notes
    -----
    Each range is sampled as two half-normals that meet at the typical value, which is thus the
    median; low and high are the 5th and 95th percentile; draws beyond 2.5 standard deviations
    are pulled in. All lots of a material share one draw of each of its properties, since what is
    not known is the material; what this person measured, and how full the containers are, is
    drawn for each lot. Properties of one material are drawn independently of one another.

    """
    for lot, _ in amounts:
        check_lot(lot)
    likely = mix([container_part(lot, count) for lot, count in amounts], water_kg, target_moisture)
    sums = MixtureDraws.of(amounts, water_kg, seed, draws)
    lacking = (
        np.zeros(draws)
        if target_moisture is None
        else water_to_target_kg(sums.mass, sums.water, target_moisture)
    )
    filled = solid_and_water_volume_m3(sums.water, sums.dry, sums.ash)
    return MixtureRange(
        likely=likely,
        c_to_n=_percentiles(_ratio(sums.carbon, sums.nitrogen), likely.c_to_n),
        moisture=_percentiles(sums.water / sums.mass, likely.moisture),
        bulk_density_kg_m3=_percentiles(sums.mass / sums.volume, likely.bulk_density_kg_m3),
        free_air_space=_percentiles(
            np.clip(1.0 - filled / sums.volume, 0.0, 1.0), likely.free_air_space
        ),
        mass_kg=_percentiles(sums.mass, likely.mass_kg),
        volume_m3=_percentiles(sums.volume, likely.volume_m3),
        water_to_add_kg=_percentiles(lacking, likely.water_to_add_kg),
    )


def draw_mixtures(
    amounts: Sequence[tuple[Lot, float]],
    water_kg: float = 0.0,
    *,
    seed: int = 0,
    draws: int = DEFAULT_DRAWS,
    likely_first: bool = False,
) -> MixtureDraws:
    """Return draws of a mixture, for an ensemble of heaps that differ in what went in.

    Parameters
    ----------
    amounts, water_kg, seed, draws
        As for `mixture_range`.
    likely_first : bool, default False
        Put the likely mixture in the place of the first draw.

    """
    for lot, _ in amounts:
        check_lot(lot)
    sums = MixtureDraws.of(amounts, water_kg, seed, draws)
    return sums.with_likely_first(amounts, water_kg) if likely_first else sums


def sampled(estimate: Estimate, z: FloatArray) -> FloatArray:
    """Return draws of an estimate for standard normal draws `z`, shape (draw,).

    Two half-normals about the typical value: z = 1.645 gives `high`, z = -1.645 gives `low`.
    """
    side = np.where(z < 0, estimate.typical - estimate.low, estimate.high - estimate.typical)
    return np.asarray(estimate.typical + z * side / _Z95, dtype=np.float64)


@dataclass(frozen=True, slots=True)
class MixtureDraws:
    """Sums over all lots, each of shape (draw,): masses [kg] and volume [m³]; water included.

    `fast` and `medium` are the volatile solids in the fast and medium degradable pools.
    """

    mass: FloatArray
    water: FloatArray
    dry: FloatArray
    ash: FloatArray
    carbon: FloatArray
    nitrogen: FloatArray
    volume: FloatArray
    fast: FloatArray
    medium: FloatArray

    @classmethod
    def of(
        cls, amounts: Sequence[tuple[Lot, float]], water_kg: float, seed: int, draws: int
    ) -> MixtureDraws:
        """Draw the mixture of some containers and added water."""
        sums = {name: np.zeros(draws) for name in cls.__slots__}
        for lot, count in _in_fixed_order(amounts):
            for name, value in _draw_lot(lot, seed, draws).items():
                sums[name] += count * value
        sums["mass"] += water_kg
        sums["water"] += water_kg
        return cls(**sums)

    def with_likely_first(
        self, amounts: Sequence[tuple[Lot, float]], water_kg: float
    ) -> MixtureDraws:
        """Return the same draws with the likely mixture as the first."""
        likely = mix([container_part(lot, count) for lot, count in amounts], water_kg)
        solids = likely.dry_mass_kg - likely.ash_kg
        first = {
            "mass": likely.mass_kg,
            "water": likely.mass_kg - likely.dry_mass_kg,
            "dry": likely.dry_mass_kg,
            "ash": likely.ash_kg,
            "carbon": likely.carbon_kg,
            "nitrogen": likely.nitrogen_kg,
            "volume": likely.volume_m3 or 0.0,  # lots always have a density, so it is known
            "fast": solids * likely.fast_share,
            "medium": solids * likely.medium_share,
        }
        return MixtureDraws(
            **{name: np.append(value, getattr(self, name)[1:]) for name, value in first.items()}
        )


def _in_fixed_order(amounts: Sequence[tuple[Lot, float]]) -> list[tuple[Lot, float]]:
    # Floating sums depend on the order; the order in which lots were typed must not show.
    return sorted(amounts, key=lambda amount: (amount[0].material.key, amount[0].key, amount[1]))


def _draw_lot(lot: Lot, seed: int, draws: int) -> dict[str, FloatArray]:
    """Return one container's masses and volume, each of shape (draw,)."""

    def draw(name: str) -> FloatArray:
        owner = lot.key if name in lot.measured else lot.material.key
        z = _standard_normal(f"{owner}/{name}", seed, draws)
        return np.clip(sampled(property_of(lot, name), z), 0.0, _MOST)

    moisture = draw("moisture")
    mass, volume = _draw_mass_and_volume(lot, moisture, seed, draws)
    dry = mass * (1.0 - moisture)
    ash = dry * draw("ash_dry")
    return {
        "mass": mass,
        "water": mass * moisture,
        "dry": dry,
        "ash": ash,
        "fast": (dry - ash) * draw("fast_share"),
        "medium": (dry - ash) * draw("medium_share"),
        "carbon": dry * draw("carbon_dry"),
        "nitrogen": dry * draw("nitrogen_dry"),
        "volume": volume,
    }


def _draw_mass_and_volume(
    lot: Lot, moisture: FloatArray, seed: int, draws: int
) -> tuple[FloatArray, FloatArray]:
    def positive(estimate: Estimate, owner: str) -> FloatArray:
        z = _standard_normal(owner, seed, draws)
        # Far draws stay above a twentieth of the typical value: never an empty container.
        return np.maximum(sampled(estimate, z), 0.05 * estimate.typical)

    fullness = positive(lot.fullness, f"{lot.key}/fullness")
    in_container = lot.container_volume_m3 * fullness
    factor = positive(packing_factor(lot), f"{lot.material.key}/{lot.packing}")
    spread_out = in_container * (factor if lot.packing is Packing.PRESSED else 1.0)
    measured = lot.measured
    if "container_mass_kg" in measured:
        return positive(measured["container_mass_kg"], f"{lot.key}/container_mass_kg"), spread_out
    if "bulk_density_kg_m3" in measured:
        density = positive(measured["bulk_density_kg_m3"], f"{lot.key}/bulk_density_kg_m3")
        return density * in_container, spread_out
    loose = positive(lot.material.bulk_density_kg_m3, f"{lot.material.key}/bulk_density_kg_m3")
    if "moisture" in measured:
        loose = loose * dry_matter_factor(
            np.full_like(moisture, lot.material.moisture.typical), moisture
        )
    return loose * factor * in_container, spread_out


def _standard_normal(owner: str, seed: int, draws: int) -> FloatArray:
    # Seeded by the name of what is drawn: the same whatever else is in the mix, in any order.
    generator = np.random.default_rng([seed, zlib.crc32(owner.encode())])
    return np.clip(generator.standard_normal(draws), -_FURTHEST, _FURTHEST)


def _ratio(carbon: FloatArray, nitrogen: FloatArray) -> FloatArray:
    ratio = np.full(carbon.shape, np.inf)
    np.divide(carbon, nitrogen, out=ratio, where=nitrogen > 0)
    return ratio


def _percentiles(values: FloatArray, likely: float | None) -> Estimate:
    if likely is None:
        likely = float(np.median(values))
    # Nearest rank: no interpolation, so an infinite C:N among the draws stays harmless.
    low, high = np.percentile(values, [5.0, 95.0], method="nearest")
    return Estimate(
        low=min(float(low), likely),
        typical=likely,
        high=max(float(high), likely),
        source="sampled from the ranges of the materials table",
        evidence=Evidence.DERIVED,
    )
