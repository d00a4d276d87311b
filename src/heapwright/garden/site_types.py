"""What is known of a site before its first bin, and what follows from it.

Knows names, shapes and units. Reckons nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from heapwright.garden.beds_types import Volume
from heapwright.sentences import Sentence
from heapwright.tables import Evidence


@dataclass(frozen=True, slots=True)
class Site:
    """Household, garden and place, as far as they were said; None is not said.

    Attributes
    ----------
    people : int or None
    lawn_m2, beds_m2, canopy_m2 : float or None
        [m²]
    space_width_m, space_depth_m : float or None
        Of the place for the bins; they open towards its front, along its width. [m]
    tap_m, fence_m, dwelling_m, well_m : float or None
        Way from there to the tap, the boundary, the next dwelling, a well or stream. [m]
    shade : float or None
        Share of sun kept off. [0-1]

    """

    people: int | None = None
    lawn_m2: float | None = None
    beds_m2: float | None = None
    canopy_m2: float | None = None
    space_width_m: float | None = None
    space_depth_m: float | None = None
    tap_m: float | None = None
    fence_m: float | None = None
    dwelling_m: float | None = None
    well_m: float | None = None
    shade: float | None = None


@dataclass(frozen=True, slots=True)
class ClimateYear:
    """What of a usual year counts here.

    Attributes
    ----------
    title : str
    coldest_c, warmest_c : float
        Mean of the coldest and the warmest month. [°C]
    rain_mm : float
        [mm/year]

    """

    title: str
    coldest_c: float
    warmest_c: float
    rain_mm: float


@dataclass(frozen=True, slots=True)
class YearlyMaterial:
    """What comes of one material in a year, loose.

    Attributes
    ----------
    material_key : str
    is_green : bool
    volume_m3 : Volume
    is_fact : bool
        Whether its figures may be shown without saying that they are starting values.

    """

    material_key: str
    is_green: bool
    volume_m3: Volume
    is_fact: bool


class Heats(StrEnum):
    """Whether a heap of what is there would get hot."""

    HOT = "hot"
    SAVED_UP = "saved up"  # only if all is saved and put up at once
    COLD = "cold"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Harvest:
    """What a year's material comes to.

    Attributes
    ----------
    greens_m3, browns_m3 : Volume
    own_m3 : Volume
        What can be built of it in equal volumes of green and brown.
    lacking : str
        "green", "brown" or "" where neither lacks much.
    fetch_m3 : Volume
        How much of that would let all of the other be built in.
    all_m3 : Volume
        What can be built then.
    heats : Heats
        By what can be built then.

    """

    greens_m3: Volume
    browns_m3: Volume
    own_m3: Volume
    lacking: str
    fetch_m3: Volume
    all_m3: Volume
    heats: Heats


@dataclass(frozen=True, slots=True)
class Bins:
    """How many bins of what size.

    Attributes
    ----------
    side_m : float
        Width, depth and height. [m]
    fills : float
        How often one is filled in a year, likely.
    wanted : int
        With the one that stays empty for turning.
    wanted_low, wanted_high : int
        When all goes quickly, when all goes slowly.

    """

    side_m: float
    fills: float
    wanted: int
    wanted_low: int
    wanted_high: int


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle of the floor plan; x to the right, y from the back to the front. [m]"""

    x_m: float
    y_m: float
    width_m: float
    depth_m: float

    def overlaps(self, other: Rect) -> bool:
        """Return whether they share ground."""
        return (
            self.x_m < other.x_m + other.width_m - 1e-9
            and other.x_m < self.x_m + self.width_m - 1e-9
            and self.y_m < other.y_m + other.depth_m - 1e-9
            and other.y_m < self.y_m + self.depth_m - 1e-9
        )

    def inside(self, width_m: float, depth_m: float) -> bool:
        """Return whether it lies within a place of that size."""
        return (
            min(self.x_m, self.y_m) >= -1e-9
            and self.x_m + self.width_m <= width_m + 1e-9
            and self.y_m + self.depth_m <= depth_m + 1e-9
        )


@dataclass(frozen=True, slots=True)
class FloorPlan:
    """Bins in a row with the way for a barrow before them.

    Attributes
    ----------
    width_m, depth_m : float
        Of the place. [m]
    side_m : float
        Of a bin, inside. [m]
    bins : tuple of Rect
        In the order of the row.
    store : Rect or None
        Room that is left in the row for brown material.
    front : Rect
        Kept free for forking and for the barrow.
    turning_m : float
        Diameter of the circle in which a barrow turns, in the middle of the front. [m]
    is_turned : bool
        Whether the row stands along the depth of the place, opening to the right.
    wanted : int

    """

    width_m: float
    depth_m: float
    side_m: float
    bins: tuple[Rect, ...]
    store: Rect | None
    front: Rect
    turning_m: float
    is_turned: bool
    wanted: int


@dataclass(frozen=True, slots=True)
class DistanceExample:
    """What codes ask for, as a range over places, beside what there is.

    Attributes
    ----------
    id : str
    low, typical, high : float
        [m], [m²] or [m³]
    here : float or None
        None where it is not said.
    told : Sentence
    source : str
    evidence : Evidence

    """

    id: str
    low: float
    typical: float
    high: float
    here: float | None
    told: Sentence
    source: str
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class Tool:
    """A tool with its job."""

    id: str
    name: Sentence
    job: Sentence
    source: str
    evidence: Evidence
