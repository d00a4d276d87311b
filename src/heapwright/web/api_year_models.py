"""The documents of the year in the programs' interface.

Knows which fields a program is told of. Knows nothing of plans.
"""

from __future__ import annotations

from datetime import date

from pydantic import BaseModel, ConfigDict, Field

_KEPT = ConfigDict(extra="ignore")


class YieldModel(BaseModel):
    """Finished compost as a range, in m³."""

    model_config = _KEPT
    sure: float
    likely: float
    high: float


class YearJobModel(BaseModel):
    """A job of the plan."""

    model_config = _KEPT
    id: str = Field(description="Stays the same while the plan is made anew")
    revision: int
    day: date
    week: int
    kind: str = Field(description="build, move, stir or harvest")
    batch_key: str
    batch_name: str
    bin_key: str
    to_bin_key: str | None
    loads: float = Field(description="Barrow loads of work")
    told: str
    amounts: list[str]
    cautions: list[str]


class YearBedModel(BaseModel):
    """What a bed gets in time."""

    model_config = _KEPT
    key: str
    name: str
    due: date
    wished_m3: float
    served_m3: float = Field(description="Surely there in time")
    chance: float | None = Field(description="That all of it is there in time")
    chance_low: float | None
    chance_high: float | None
    told: str


class YearBatchModel(BaseModel):
    """A heap of the plan."""

    model_config = _KEPT
    key: str
    name: str
    number: int
    is_standing: bool
    built: date | None
    ready: date | None
    ready_low: date | None = Field(description="One year in ten is earlier; null beyond the year")
    ready_high: date | None
    yield_m3: YieldModel
    told: str


class YearModel(BaseModel):
    """How the year goes."""

    model_config = _KEPT
    first_day: date = Field(description="Monday of the running week")
    headline: str
    proof: str
    jobs: list[YearJobModel]
    beds: list[YearBedModel]
    batches: list[YearBatchModel]
    reasons: list[str]
    cannot: list[str]
    changes: list[str]
    lacking: list[str]
    basis: list[str]


class WhatIfYearModel(BaseModel):
    """A change of the garden and what it would do to the year."""

    model_config = _KEPT
    key: str
    title: str
    told: str
    made_m3: float
    served_m3: float
    note: str | None = Field(description="What is not counted in it")
