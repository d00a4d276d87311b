"""Makes materials and lots for tests, with every number in sight of the test that asks for it.

Invented stuff: no value here is a fact about any material.
"""

from __future__ import annotations

from heapwright.materials.types import Hazard, Material, Packing, Role
from heapwright.mixing.types import Lot
from heapwright.tables import Estimate, Evidence


def about(value: float, spread: float = 0.2) -> Estimate:
    """Return an estimate that reaches `spread` of its value to both sides."""
    return Estimate(value * (1 - spread), value, value * (1 + spread), "invented", Evidence.MEMORY)


def a_material(
    key: str = "leaves",
    role: Role = Role.BROWN,
    *,
    moisture: float = 0.35,
    nitrogen: float = 0.0075,
    carbon: float = 0.5,
    density: float = 120.0,
    keeps_days: float = 365.0,
    is_food: bool = False,
    hazard: Hazard | None = None,
    pressed: float = 2.0,
    spread: float = 0.2,
) -> Material:
    """Return a material; everything not given is like dry leaves."""
    return Material(
        key=key,
        name=key.replace("_", " ").capitalize(),
        role=role,
        moisture=about(moisture, spread / 2),
        nitrogen_dry=about(nitrogen, spread),
        carbon_dry=about(carbon, spread / 4),
        bulk_density_kg_m3=about(density, spread),
        ash_dry=about(0.1, spread),
        fast_share=about(0.3, spread),
        medium_share=about(0.4, spread),
        packing_factor={Packing.PRESSED: about(pressed, 0.0), Packing.SHREDDED: about(1.5, 0.0)},
        keeps_days=about(keeps_days, 0.0),
        is_food=is_food,
        hazard=hazard,
        cautions=(),
        words=(key,),
        notes=(),
    )


def a_lot(
    material: Material,
    count: int = 5,
    *,
    key: str | None = None,
    volume_m3: float = 0.1,
    container: str = "bag",
    packing: Packing = Packing.LOOSE,
    age_days: float = 0.0,
    keep_back: int = 0,
    fullness: float = 1.0,
    measured: dict[str, Estimate] | None = None,
) -> Lot:
    """Return a lot of full, loose containers unless told otherwise."""
    return Lot(
        key=key or f"lot of {material.key}",
        material=material,
        container_name=container,
        container_volume_m3=volume_m3,
        count=count,
        fullness=Estimate.exactly(fullness),
        packing=packing,
        age_days=age_days,
        measured=measured or {},
        keep_back=keep_back,
    )


def grass(count: int = 5, **changes: float) -> Lot:
    """Return bags of grass: green, wet, gone in two days."""
    material = a_material(
        "grass", Role.GREEN, moisture=0.77, nitrogen=0.024, carbon=0.45, density=208, keeps_days=2
    )
    return a_lot(material, count, volume_m3=changes.get("volume_m3", 0.06))


def leaves(count: int = 8, **changes: float) -> Lot:
    """Return bags of leaves: brown, dry, long-keeping."""
    return a_lot(a_material(), count, volume_m3=changes.get("volume_m3", 0.12))
