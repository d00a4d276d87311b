"""The documents of beds and site, field by field.

Knows names and types only; it mirrors `workshop.beds_answer`. Numbers are SI, sentences are ready
to show in the garden's units.
"""

from __future__ import annotations

from datetime import date, datetime

from pydantic import BaseModel, Field


class VolumeModel(BaseModel):
    """Compost as a range. [m³]"""

    low: float
    likely: float
    high: float


class EstimateModel(BaseModel):
    """A published value with its range and source."""

    low: float
    typical: float
    high: float
    source: str
    evidence: str


class BedModel(BaseModel):
    """A bed as it was entered."""

    key: str
    name: str
    use: str
    due: date
    area_m2: float | None
    mix_m3: float | None = Field(description="Potting mix wanted")
    every_year: bool
    depth_m: float | None = Field(description="The person's own; null takes the published one")
    weight: int = Field(description="1 can wait, 2 usual, 3 first of all")
    phosphorus: str
    salt_sensitive: bool
    raw_harvest: bool


class LayerModel(BaseModel):
    """What a whole round asks for."""

    depth_m: EstimateModel | None
    share: EstimateModel | None = Field(description="Of a potting mix, by volume")
    volume_m3: VolumeModel
    is_own: bool


class CautionModel(BaseModel):
    """A caution with what it rests on."""

    id: str
    told: str
    source: str
    evidence: str


class SpreadModel(BaseModel):
    """What was put on a bed once."""

    entry_id: str
    at: datetime
    volume_m3: float | None = Field(description="Null when nobody said how much")
    what: str
    batch_name: str


class NitrogenModel(BaseModel):
    """Nitrogen for the plants of the first year. [kg]"""

    low_kg: float
    likely_kg: float
    high_kg: float


class BedLineModel(BaseModel):
    """A bed as it stands."""

    bed: BedModel
    due: date = Field(description="Of the round to be served next")
    days_left: int
    layer: LayerModel
    laid_m3: float
    still_m3: VolumeModel
    is_looked_ahead: bool
    own_m3: VolumeModel
    buy_m3: VolumeModel
    nitrogen: NitrogenModel
    harvest_from: date | None
    how: str
    told: list[str]
    cautions: list[CautionModel]
    spreads: list[SpreadModel]


class ExpectedCompostModel(BaseModel):
    """Compost that is to be ready."""

    on: date
    on_late: date
    volume_m3: VolumeModel
    name: str


class BedsModel(BaseModel):
    """What all beds want, get and lack."""

    today: date
    until: date
    lines: list[BedLineModel]
    expected: list[ExpectedCompostModel]
    store_m3: float
    wanted_m3: VolumeModel
    own_m3: VolumeModel
    buy_m3: VolumeModel
    sacks: list[int] = Field(description="To buy in: at least, likely, at most")
    told: list[str]
    rule: str
    cautions: list[CautionModel]
    notes: list[str]


class SiteModel(BaseModel):
    """Household, garden and place, as far as they were said."""

    people: int | None
    lawn_m2: float | None
    beds_m2: float | None
    canopy_m2: float | None
    space_width_m: float | None
    space_depth_m: float | None
    tap_m: float | None
    fence_m: float | None
    dwelling_m: float | None
    well_m: float | None
    shade: float | None


class ClimateYearModel(BaseModel):
    """What of a usual year counts here."""

    title: str
    coldest_c: float = Field(description="Mean of the coldest month")
    warmest_c: float = Field(description="Mean of the warmest month")
    rain_mm: float


class YearlyMaterialModel(BaseModel):
    """What comes of one material in a year, loose."""

    material_key: str
    is_green: bool
    volume_m3: VolumeModel
    is_fact: bool = Field(description="False: a starting value")


class MaterialLineModel(BaseModel):
    """The same with its name."""

    name: str
    material: YearlyMaterialModel


class HarvestModel(BaseModel):
    """What a year's material comes to."""

    greens_m3: VolumeModel
    browns_m3: VolumeModel
    own_m3: VolumeModel
    lacking: str
    fetch_m3: VolumeModel
    all_m3: VolumeModel
    heats: str


class BinsModel(BaseModel):
    """How many bins of what size."""

    side_m: float
    fills: float
    wanted: int
    wanted_low: int
    wanted_high: int


class RectModel(BaseModel):
    """A rectangle of the floor plan; x to the right, y from the back to the front."""

    x_m: float
    y_m: float
    width_m: float
    depth_m: float


class FloorPlanModel(BaseModel):
    """Bins in a row with the way for a barrow before them."""

    width_m: float
    depth_m: float
    side_m: float
    bins: list[RectModel]
    store: RectModel | None
    front: RectModel
    turning_m: float
    is_turned: bool
    wanted: int


class DistanceExampleModel(BaseModel):
    """What codes ask for, as a range over places: never a rule."""

    id: str
    low: float
    typical: float
    high: float
    here: float | None
    told: str
    source: str
    evidence: str


class ToolModel(BaseModel):
    """A tool with its job."""

    id: str
    name: str
    job: str
    source: str
    evidence: str


class SiteAnswerModel(BaseModel):
    """What a place can hold and give."""

    site: SiteModel
    climate: ClimateYearModel
    materials: list[MaterialLineModel]
    harvest: HarvestModel
    bins: BinsModel | None
    plan: FloorPlanModel | None
    distances: list[DistanceExampleModel]
    tools: list[ToolModel]
    water_kg: VolumeModel | None = Field(description="To be given in a year, as a range [kg]")
    compost_m3: VolumeModel | None
    beds_m3: VolumeModel | None
    told: list[str]
    cautions: list[CautionModel]
    notes: list[str]
