"""The types of the mixing floor: parts, lots on hand, mixtures, wishes, recipes, layers.

Knows what is passed between the mixing functions and to the floors above. Holds no arithmetic.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from heapwright.materials.types import Material, Packing
from heapwright.sentences import Sentence
from heapwright.tables import Estimate


@dataclass(frozen=True, slots=True)
class Part:
    """An amount of one material with plain numbers, for exact mass balances.

    Attributes
    ----------
    mass_kg : float
        Wet (as-is) mass. [kg]
    moisture : float
        Water as share of wet mass. [0-1]
    nitrogen_dry, carbon_dry : float
        Share of dry mass. [0-1]
    bulk_density_kg_m3 : float or None
        Wet bulk density; None when it is not known (volume is then not known either).
    ash_dry : float or None
        Ash as share of dry mass. [0-1]
    fast_share, medium_share : float
        Share of volatile solids in the fast and medium degradable pools. [0-1]

    """

    name: str
    mass_kg: float
    moisture: float
    nitrogen_dry: float
    carbon_dry: float
    bulk_density_kg_m3: float | None = None
    ash_dry: float | None = None
    fast_share: float = 0.0
    medium_share: float = 0.0


@dataclass(frozen=True, slots=True)
class Mixture:
    """What a set of parts is together, by mass balance (water included where added).

    Attributes
    ----------
    mass_kg, dry_mass_kg, carbon_kg, nitrogen_kg, ash_kg : float
    moisture : float
        Water as share of wet mass. [0-1]
    c_to_n : float
        Carbon to nitrogen by mass; infinite without nitrogen.
    volume_m3, bulk_density_kg_m3, free_air_space : float or None
        None when a part's bulk density is not known. Free air space as share of volume [0-1].
    water_to_add_kg : float
        Water to reach the target moisture asked for; negative when the mix is too wet. [kg]
    fast_share, medium_share : float
        Of the mixture's volatile solids.
    target_moisture : float or None
        The moisture asked for; None means `water_to_add_kg` was not asked for.
    notes : tuple of str
        What a reader must know of these numbers (no air left, for one).

    """

    mass_kg: float
    dry_mass_kg: float
    carbon_kg: float
    nitrogen_kg: float
    ash_kg: float
    moisture: float
    c_to_n: float
    volume_m3: float | None
    bulk_density_kg_m3: float | None
    free_air_space: float | None
    water_to_add_kg: float
    fast_share: float
    medium_share: float
    target_moisture: float | None = None
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class MixtureRange:
    """The likely mixture and the range that the table's uncertainty gives each property.

    Each Estimate's low and high are the 5th and 95th percentile over the sampled tables, typical
    is the value of the typical table (clipped into the range).
    """

    likely: Mixture
    c_to_n: Estimate
    moisture: Estimate
    bulk_density_kg_m3: Estimate
    free_air_space: Estimate
    mass_kg: Estimate
    volume_m3: Estimate
    water_to_add_kg: Estimate


@dataclass(frozen=True, slots=True)
class Lot:
    """Some of one material on hand, in whole containers.

    Attributes
    ----------
    key : str
        Stable id of the lot.
    material : Material
    container_name : str
        Singular, as the person calls it ("leaf bag").
    container_volume_m3 : float
        Nominal volume of one container. [m³]
    count : int
        Whole containers on hand.
    fullness : Estimate
        How full a container is. [0-1]
    packing : Packing
    age_days : float
        Days since it was got; drives what spoils first.
    measured : dict str -> Estimate
        This person's own values by Material property name ("moisture", "nitrogen_dry",
        "carbon_dry", "bulk_density_kg_m3", ...) and "container_mass_kg" (wet mass of one filled
        container); each overrides the table for this lot.
    keep_back : int
        Containers to leave in reserve.

    """

    key: str
    material: Material
    container_name: str
    container_volume_m3: float
    count: int
    fullness: Estimate
    packing: Packing
    age_days: float = 0.0
    measured: dict[str, Estimate] = field(default_factory=dict)
    keep_back: int = 0


@dataclass(frozen=True, slots=True)
class Band:
    """A wished range with its source."""

    low: float
    high: float
    ideal: float
    source: str = ""


@dataclass(frozen=True, slots=True)
class Wishes:
    """What a recipe should meet. Defaults come from the table `targets.csv`.

    `volume_m3.high` is the bin's volume; loose volumes are taken to add (they settle).
    """

    volume_m3: Band
    c_to_n: Band
    moisture: Band
    bulk_density_kg_m3: Band
    free_air_space: Band


@dataclass(frozen=True, slots=True)
class RecipeLine:
    """So many whole containers of one lot."""

    lot: Lot
    count: int
    mass_kg: float  # likely, all containers together
    volume_m3: float


@dataclass(frozen=True, slots=True)
class GivenWay:
    """A wish that could not be met, and by how much."""

    wish: str  # as a gardener would say it: "C:N at least 25"
    wanted: float
    got: float
    unit: str  # "m³", "kg/m³", "share" (0-1) or "" for a ratio
    said: Sentence | None = None  # the same for a reader's own units


@dataclass(frozen=True, slots=True)
class Fetch:
    """The smallest thing to fetch that would make every wish fit.

    `also` holds further things where one material alone cannot do it (a lone pail of scraps
    needs brown and green).
    """

    material: Material
    container_name: str
    count: int
    sentence: str
    also: tuple[Fetch, ...] = ()


@dataclass(frozen=True, slots=True)
class Recipe:
    """Whole containers to take, the water to add, and what comes out.

    Attributes
    ----------
    lines : tuple of RecipeLine
        Only lots of which at least one container is taken.
    mixture : MixtureRange
        After wetting with `water_kg`.
    water_kg : float
        Water to add in all; 0 when none is needed.
    proven : bool
        Whether the solver proved that nothing better exists.
    given_way : tuple of GivenWay
        Empty when every wish is met.
    fetch : Fetch or None
        Only when something gave way.
    reasons : tuple of str
        Why these lots: what spoils first, what is kept in reserve.
    thumb_rule : ThumbRule
        What four brown layers to one green would have given here (common practice).

    """

    lines: tuple[RecipeLine, ...]
    mixture: MixtureRange
    water_kg: float
    proven: bool
    given_way: tuple[GivenWay, ...]
    fetch: Fetch | None
    reasons: tuple[str, ...]
    thumb_rule: ThumbRule | None


@dataclass(frozen=True, slots=True)
class ThumbRule:
    """What the trade's four-browns-to-one-green rule would have given from the same lots."""

    mixture: MixtureRange
    sentence: str


class LayerKind(StrEnum):
    """What a layer is there for."""

    BASE = "base"  # coarse, for air from below
    BROWN = "brown"
    GREEN = "green"
    FOOD = "food"  # kitchen scraps in the core only
    CAP = "cap"  # brown, last


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer of the build sheet, from the bottom up.

    Attributes
    ----------
    contents : tuple of (RecipeLine lot, containers)
        Containers may be a fraction (half a bag).
    depth_m : float
        Loose depth before settling. [m]
    water_kg : float
        Water for this layer. [kg], 1 kg is 1 litre
    hose_seconds : float or None
        The same with this person's hose; None when its flow is not known.
    margin_m : float
        How far to stay from sides (and below the top) [m]; 0 for ordinary layers.
    steps : tuple of str
        What to do, in order, in plain words.

    """

    number: int
    kind: LayerKind
    contents: tuple[tuple[Lot, float], ...]
    depth_m: float
    water_kg: float
    hose_seconds: float | None
    margin_m: float
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BuildSheet:
    """All layers in order, with totals and the cautions of the work."""

    layers: tuple[Layer, ...]
    total_water_kg: float
    loose_height_m: float
    cautions: tuple[str, ...]
