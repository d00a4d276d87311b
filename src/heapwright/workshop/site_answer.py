"""The typed answer to what a place before its first bin can hold and give.

Knows what the answer holds. Knows nothing of how it comes about or how it is shown.
"""

from __future__ import annotations

from dataclasses import dataclass

from heapwright.garden.beds_types import Caution, Volume
from heapwright.garden.site_types import (
    Bins,
    ClimateYear,
    DistanceExample,
    FloorPlan,
    Harvest,
    Site,
    Tool,
    YearlyMaterial,
)
from heapwright.sentences import Sentence


@dataclass(frozen=True, slots=True)
class MaterialLine:
    """What comes of one material in a year, with its name."""

    name: str
    material: YearlyMaterial


@dataclass(frozen=True, slots=True)
class SiteAnswer:
    """What a place can hold and give.

    Attributes
    ----------
    site : Site
    climate : ClimateYear
    materials : tuple of MaterialLine
    harvest : Harvest
    bins : Bins or None
        None while nothing is said of what will come.
    plan : FloorPlan or None
        None while the place's size is not said, or nothing fits.
    distances : tuple of DistanceExample
    tools : tuple of Tool
    water_kg, compost_m3 : Volume or None
        Of a year, of all that comes in; None like `bins`. Where fewer bins fit than are wanted it
        is less.
    beds_m3 : Volume or None
        What the beds named ask for in a year.
    told : tuple of Sentence
    cautions : tuple of Caution
    notes : tuple of Sentence
        What it rests on.

    """

    site: Site
    climate: ClimateYear
    materials: tuple[MaterialLine, ...]
    harvest: Harvest
    bins: Bins | None
    plan: FloorPlan | None
    distances: tuple[DistanceExample, ...]
    tools: tuple[Tool, ...]
    water_kg: Volume | None
    compost_m3: Volume | None
    beds_m3: Volume | None
    told: tuple[Sentence, ...]
    cautions: tuple[Caution, ...]
    notes: tuple[Sentence, ...]
