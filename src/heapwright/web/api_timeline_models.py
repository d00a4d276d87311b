"""The document of all heaps through the weeks, field by field.

Knows names and types only; it mirrors `workshop.timeline`. Numbers are SI, sentences are ready to
show in the garden's units.
"""

from __future__ import annotations

from datetime import datetime

from pydantic import BaseModel, Field

from heapwright.web.api_models import BinModel
from heapwright.web.api_ready_models import ReadyDateModel


class PieceModel(BaseModel):
    """A batch in one bin within one week."""

    bin_key: str
    since: datetime
    until: datetime
    hottest_c: float | None = Field(description="Read; without a reading, the model's likely")
    is_read: bool
    is_curing: bool


class MarkModel(BaseModel):
    """Something done to a batch, in the bin where it lay afterwards."""

    at: datetime
    kind: str
    bin_key: str
    with_water: bool
    words: str


class BatchLineModel(BaseModel):
    """One batch through the weeks."""

    key: str
    name: str
    stage: str
    bin_key: str | None
    built_at: datetime
    ended_at: datetime | None
    pieces: list[PieceModel]
    marks: list[MarkModel]
    ready: ReadyDateModel | None
    told: list[str]


class TimelineModel(BaseModel):
    """Every heap through the weeks."""

    since: datetime = Field(description="Monday's midnight in the garden")
    now: datetime
    bins: list[BinModel]
    batches: list[BatchLineModel]
    earlier: int = Field(description="Batches that ended before and are left out")
