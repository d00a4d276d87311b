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
