"""The document of what else could be done with a heap, field by field.

Knows names and types only; it mirrors `workshop.whatif_answer`. Numbers are SI, sentences are ready
to show in the garden's units.
"""

from __future__ import annotations

from pydantic import BaseModel, Field

from heapwright.web.api_models import AdviceModel, IntervalModel


class WhatIfRowModel(BaseModel):
    """One thing that could be done."""

    doing: str
    in_days: int = Field(description="0 is today")
    headline: str
    amounts: list[str]
    gain: str
    is_chosen: bool
    better_days: IntervalModel = Field(description="Than leaving it alone, all things counted")
    sooner_days: IntervalModel = Field(description="Finished sooner than left alone")
    finished_in_days: IntervalModel
    hot_share: IntervalModel
    airless_share: float
    nitrogen_lost: float
    fly_share: float
    moisture: IntervalModel
    water_kg: float
    barrows: float
    work_minutes: float


class NotPossibleModel(BaseModel):
    """One thing that cannot or must not be done, and why."""

    doing: str
    reason: str


class WhatIfModel(BaseModel):
    """What could be done with a heap, best first."""

    best: AdviceModel
    stands_before: str | None = Field(description="A job that goes before the comparison")
    rows: list[WhatIfRowModel]
    not_possible: list[NotPossibleModel]
    best_in: int
    members: int
    is_equal: bool
    margin_days: IntervalModel
    rival: str
    horizon_days: int
    notes: list[str]
