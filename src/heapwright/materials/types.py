"""The types of the materials table.

Knows what a material is described by. Knows nothing of amounts on hand or of mixing.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from heapwright.quantities.containers import Packing
from heapwright.tables import Estimate

__all__ = ["Hazard", "Material", "Packing", "Permission", "Role"]


class Role(StrEnum):
    """The part a material plays in a heap, in the trade's words."""

    GREEN = "green"
    BROWN = "brown"
    SUPPLEMENT = "supplement"  # concentrated nitrogen
    MINERAL = "mineral"  # ash, shells, lime: neither carbon nor nitrogen
    STARTER = "starter"  # soil, old compost


class Permission(StrEnum):
    """Whether a material may go into a home heap."""

    ALLOWED = "allowed"
    CONDITIONAL = "conditional"
    REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Hazard:
    """Why a material is refused or conditional, and what to do instead."""

    permission: Permission
    reason: str
    instead: str  # what to do with it instead, or the condition to be met
    source: str
    condition: str = ""  # short name of the condition, "" when refused or allowed


@dataclass(frozen=True, slots=True)
class Material:
    """One material with every property as a sourced range.

    Attributes
    ----------
    key, name : str
        Stable id and the name shown.
    role : Role
    moisture : Estimate
        Water as share of wet mass. [kg kg⁻¹, 0-1]
    nitrogen_dry, carbon_dry : Estimate
        Share of dry mass. [kg kg⁻¹, 0-1]
    bulk_density_kg_m3 : Estimate
        Wet mass per volume as it lies loose in a container at `moisture`. [kg m⁻³]
    ash_dry : Estimate
        Share of dry mass that does not burn. [0-1]; volatile solids = 1 - ash.
    fast_share, medium_share : Estimate
        Share of volatile solids in the fast and medium degradable pool. [0-1]
    packing_factor : dict Packing -> Estimate
        Bulk density relative to loose. [-]
    keeps_days : Estimate
        How long it can be kept before it spoils or loses its use. [days]
    is_food : bool
        Kitchen food: belongs in the core, covered, never near sides or top.
    hazard : Hazard or None
    cautions : tuple of str
        What to mind when handling it, for the task where it is handled.
    words : tuple of str
        Other words people use for it, lower case.
    notes : tuple of str
        Corrections and choices made in the table (rule named), for the science page.
    kind : str
        The kind it belongs to ("leaf", "grass", "manure", ...), which decides how it packs,
        keeps and rots.
    has_numbers : bool
        False for refused stuff of which no figures are known: its ranges then span all that is
        possible and must not be mixed with.

    """

    key: str
    name: str
    role: Role
    moisture: Estimate
    nitrogen_dry: Estimate
    carbon_dry: Estimate
    bulk_density_kg_m3: Estimate
    ash_dry: Estimate
    fast_share: Estimate
    medium_share: Estimate
    packing_factor: dict[Packing, Estimate]
    keeps_days: Estimate
    is_food: bool
    hazard: Hazard | None
    cautions: tuple[str, ...]
    words: tuple[str, ...]
    notes: tuple[str, ...]
    kind: str = ""
    has_numbers: bool = True

    @property
    def c_to_n(self) -> float:
        """Typical carbon-to-nitrogen ratio by mass; infinite without nitrogen."""
        nitrogen = self.nitrogen_dry.typical
        return self.carbon_dry.typical / nitrogen if nitrogen > 0 else float("inf")
