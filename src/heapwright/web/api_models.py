"""The documents of the programs' interface: what /api takes and gives, field by field.

Knows names and types only, so that the OpenAPI document is right. They mirror the workshop's
answers; a test holds the two together. Numbers are SI (°C, kg, m³, shares 0-1), times ISO 8601 in
UTC, sentences are ready to show in the garden's units.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Annotated

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field, JsonValue

from heapwright.journal.entries import EntryKind

MOST_ENTRIES = 500
#: Nobody logged a heap here before: an earlier date is a clock that was never set.
_EARLIEST = datetime(1990, 1, 1, tzinfo=UTC)
EntryId = Annotated[str, Field(pattern="^[0-9a-f]{32}$", description="32 hexadecimal digits")]
Moment = Annotated[AwareDatetime, Field(ge=_EARLIEST)]


class Problem(BaseModel):
    """What went wrong (RFC 9457), in four parts a person can read."""

    type: str = "about:blank"
    title: str
    status: int
    detail: str = Field(description="The whole message")
    code: str
    what: str
    why: str
    instead: str
    kept: str = Field(description="What happened to the data that was sent")


class IntervalModel(BaseModel):
    """One in ten below low, one in ten above high."""

    low: float
    likely: float
    high: float


class AdviceModel(BaseModel):
    """One job for one bin."""

    job: str
    headline: str
    reasons: list[str]
    amounts: list[str]
    expected: list[str]
    cautions: list[str]
    sureness: str
    afterwards: list[str]
    confidence: list[str]
    lines: list[tuple[str, int]]


class BinModel(BaseModel):
    """A bin as it stands."""

    key: str
    name: str
    width_m: float
    depth_m: float
    height_m: float
    wall: str
    cover: str
    shade: float
    order: int
    batch_key: str | None
    in_use: bool
    ground: str


class ReadingModel(BaseModel):
    """A thermometer reading."""

    entry_id: str
    at: datetime
    temperature_c: float
    depth_m: float | None
    where: str


class ForecastModel(BaseModel):
    """Hour by hour from `start`; later than `now_index` is ahead."""

    start: datetime
    now_index: int
    low_c: list[float | None]
    likely_c: list[float | None]
    high_c: list[float | None]
    air_c: list[float | None]
    rain_mm: list[float | None]
    depth_m: float
    basis: str
    notes: list[str]


class BinTodayModel(BaseModel):
    """One bin's card."""

    bin: BinModel
    batch_key: str | None
    batch_name: str
    age_days: float | None
    stage: str
    advice: AdviceModel
    last_reading: ReadingModel | None
    forecast: ForecastModel | None
    problems: list[str]


class WeatherModel(BaseModel):
    """The weather of the day."""

    air_c: float
    low_next_day_c: float
    high_next_day_c: float
    rain_next_day_mm: float
    source: str
    is_typical: bool


class LotModel(BaseModel):
    """Some of a material on hand."""

    key: str
    material_key: str
    container_name: str
    container_volume_m3: float
    count: int
    left: float
    fullness: list[float]
    packing: str
    got_at: datetime
    keep_back: int
    measured: dict[str, list[float]]


class TodayModel(BaseModel):
    """What to do today at every bin."""

    garden_name: str
    is_demo: bool
    at: datetime
    bins: list[BinTodayModel]
    weather: WeatherModel | None
    stock: list[LotModel]
    notes: list[str]


class CrossSectionModel(BaseModel):
    """The heap cut through its middle: [radius][height], from the axis and the ground."""

    temperature_c: list[list[float | None]]
    moisture: list[list[float | None]]
    radius_edges_m: list[float]
    height_edges_m: list[float]


class HeatShareModel(BaseModel):
    """How much of the heap got hot by the model; never proof of hygiene."""

    temperature_c: float
    hours: float
    share: IntervalModel
    seen_readings: int
    caution: str


class EventModel(BaseModel):
    """Something done or seen."""

    entry_id: str
    at: datetime
    kind: str
    words: str
    water_kg: float = Field(description="Given with it")


class BinAnswerModel(BaseModel):
    """Everything about one bin."""

    today: BinTodayModel
    cross_section: CrossSectionModel | None
    heat_share: HeatShareModel | None
    moisture: IntervalModel | None
    degradable_left: IntervalModel | None
    volume_m3: float | None
    readings: list[ReadingModel]
    events: list[EventModel]


class EntryIn(BaseModel):
    """One entry as the phone wrote it; the same id is stored once however often it is sent."""

    model_config = ConfigDict(extra="forbid")

    id: EntryId
    kind: EntryKind
    at: Moment = Field(description="When it happened")
    written_at: Moment | None = Field(default=None, description="When it was written down")
    body: dict[str, JsonValue] = Field(description="Fields by kind, SI units")
    author: str = Field(default="", max_length=80)


class EntriesIn(BaseModel):
    """A batch of entries, oldest first."""

    model_config = ConfigDict(extra="forbid")

    entries: Annotated[list[EntryIn], Field(min_length=1, max_length=MOST_ENTRIES)]


class TaughtModel(BaseModel):
    """What earlier heaps taught about the one in a bin."""

    basis: str = Field(description="Which heaps and how many readings it rests on")
    lessons: list[str]
    limits: str


class RefusedModel(BaseModel):
    """An entry that was not stored, and why. Sending it again unchanged will not help."""

    id: str
    problem: Problem


class EntriesOut(BaseModel):
    """What became of each entry: its id is in exactly one of the three lists."""

    stored: list[str]
    already_there: list[str]
    refused: list[RefusedModel]
    warnings: list[str] = Field(description="Stored, but look again")
