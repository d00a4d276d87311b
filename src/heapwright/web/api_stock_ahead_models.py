"""The document of the year's stock, field by field.

Knows names and types only; it mirrors `workshop.stock_ahead_answer`. Numbers are SI, sentences are
ready to show in the garden's units.
"""

from __future__ import annotations

from datetime import date

from pydantic import BaseModel, Field

Three = tuple[float, float, float]


class ClassAheadModel(BaseModel):
    """Greens or browns through the weeks."""

    key: str = Field(description="greens or browns")
    there_low_m3: list[float] = Field(description="In each week before building: little comes")
    there_m3: list[float] = Field(description="The same, likely")
    there_high_m3: list[float] = Field(description="The same, when much comes")
    wanted_m3: list[float] = Field(description="By the heaps begun in the week")
    came_m3: Three = Field(description="In the whole time: low, likely, high")
    spoiled_m3: Three
    runs_out: date | None = Field(description="Monday of the first week with too little, likely")
    runs_out_soonest: date | None = Field(description="The same when little comes")
    most_m3: float = Field(description="The most that is likely there for one heap")
    gather_weeks: int = Field(description="So long a heap is filled with it; 0 at once")
    told: list[str]


class BuildAheadModel(BaseModel):
    """A heap to be built, with what it takes."""

    day: date = Field(description="Monday of its week")
    volume_m3: float
    greens_m3: Three
    browns_m3: Three
    water_kg: Three
    told: str


class SavingAheadModel(BaseModel):
    """What to save when the leaves fall."""

    from_day: date
    to_day: date
    needed_m3: Three
    save_m3: Three
    short_before_m3: Three
    falls_m3: Three | None
    container_name: str
    container_m3: float
    bags: tuple[int, int, int]
    shredded_bags: tuple[int, int, int]
    told: list[str]


class StockAheadModel(BaseModel):
    """How the stock goes through 52 weeks."""

    first_day: date
    mondays: list[date]
    classes: list[ClassAheadModel]
    builds: list[BuildAheadModel]
    builds_from: str
    saving: SavingAheadModel | None
    one_heap: BuildAheadModel = Field(description="What one that fills the first bin takes now")
    notes: list[str]
