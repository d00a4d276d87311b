"""The document of heaps side by side, field by field.

Knows names and types only; it mirrors `workshop.compare_answer`. Numbers are SI, sentences are
ready to show in the garden's units.
"""

from __future__ import annotations

from datetime import datetime

from pydantic import BaseModel, Field

from heapwright.web.api_models import IntervalModel


class BetweenModel(BaseModel):
    """A number known only to lie after one value and not after another."""

    low: float
    high: float | None = Field(description="Null when it is only known to lie beyond low")


class MiddleModel(BaseModel):
    """The middle of a few numbers, with the room their bounds leave."""

    low: float
    high: float | None
    least: float
    most: float | None
    count: int
    covers: float = Field(description="How surely the range holds the median of all such heaps")


class ShiftModel(BaseModel):
    """How much greater the numbers of the half with more are."""

    likely: float
    low: float
    high: float
    covers: float
    chance: float = Field(description="Two-sided, of a difference of means by splitting at random")
    least_chance: float
    is_exact: bool


class WentInModel(BaseModel):
    """Some of one material that went into a heap."""

    at: datetime
    material: str
    container: str
    count: float
    with_build: bool


class DayHeatModel(BaseModel):
    """The hottest of one day of a heap's life."""

    day: int = Field(description="Of the calendar, 0 on the day it was built")
    hottest_c: float
    is_read: bool = Field(description="False: the model, drawn through the readings about it")


class DoneOnModel(BaseModel):
    """Something done on a day of a heap's life."""

    day: int
    kind: str
    with_water: bool


class WeatherStoodModel(BaseModel):
    """The weather a heap stood in."""

    mean_air_c: float
    rain_mm: float
    early_air_c: float = Field(description="Mean of its first fortnight")
    seen_share: float = Field(description="Share of own weather; the rest is a usual year's")


class HotForModel(BaseModel):
    """How long a heap was at 55 °C or more where the thermometer stood."""

    days_seen: int
    days_read: int
    estimated_days: IntervalModel | None
    covered_days: float = Field(description="How much of its life the estimate speaks of")


class HeapComparedModel(BaseModel):
    """One heap's line; what is not known is null."""

    key: str
    name: str
    stage: str
    bin_key: str | None
    bins: list[str]
    built_at: datetime
    until: datetime
    is_over: bool
    was_there: bool
    went_in: list[WentInModel]
    c_to_n: IntervalModel | None
    moisture: IntervalModel | None
    volume_m3: IntervalModel | None
    bin_volume_m3: float
    turns: int
    early_turns: int
    wettings: int
    water_kg: float
    early_water_kg: float
    weather: WeatherStoodModel | None
    hottest_c: float | None
    days_to_hot: BetweenModel | None
    hot: HotForModel
    cured_after_days: float | None
    days_to_finished: BetweenModel | None
    finished_by: str | None
    yield_m3: float | None
    yield_share: float | None
    barrow_loads: float | None
    days: list[DayHeatModel]
    done: list[DoneOnModel]
    missing: list[str]


class FindingModel(BaseModel):
    """How one choice and one outcome went together; never a cause."""

    choice: str
    outcome: str
    heaps: int
    agree: int
    against: int
    undecided: int
    leaning: float = Field(description="-1 to 1 over the decided pairs")
    chance: float = Field(description="Two-sided permutation p-value")
    corrected: float = Field(description="After Holm's correction for all that was looked at")
    least_chance: float = Field(description="The smallest that these heaps could have given")
    standing: str
    less: MiddleModel | None
    more: MiddleModel | None
    shift: ShiftModel | None
    told: list[str]


class HeapNamedModel(BaseModel):
    """A heap that may be chosen."""

    key: str
    name: str
    built_at: datetime
    is_compared: bool


class OutcomeMiddleModel(BaseModel):
    """What is usual of one outcome here."""

    outcome: str
    middle: MiddleModel
    told: str


class ComparisonModel(BaseModel):
    """Heaps of this garden side by side, and what they say together."""

    now: datetime
    garden_name: str
    is_demo: bool
    hot_c: float
    heaps: list[HeapComparedModel]
    choosable: list[HeapNamedModel]
    usual: list[OutcomeMiddleModel]
    findings: list[FindingModel]
    told: list[str]
    questions: list[str]
    cautions: list[str]
    notes: list[str]
