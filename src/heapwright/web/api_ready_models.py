"""The documents of `/api/bins/{key}/ready`: tests, uses, date and what to expect, field by field.

Knows names and types only. They mirror `workshop.ready_answer`; a test holds the two together.
"""

from __future__ import annotations

from datetime import datetime

from pydantic import BaseModel, Field

from heapwright.web.api_models import IntervalModel


class UseModel(BaseModel):
    """Something compost may be used for, and what must have been seen before."""

    id: str
    name: str
    stability: int = Field(description="Tests of it that must have passed")
    maturity: int
    asks_curing: bool
    is_near_broadleaf: bool
    how: str
    source: str
    place: str
    evidence: str


class UseStateModel(BaseModel):
    """Whether it may be used so: ready, not yet, or untold."""

    use: UseModel
    readiness: str
    against: list[str]


class AspectStateModel(BaseModel):
    """What the tests of one aspect say together."""

    aspect: str
    standing: str
    passes: int
    told: list[str]


class JudgedModel(BaseModel):
    """A test's verdict: passed, not yet, failed, or cannot say."""

    procedure: str
    verdict: str
    reason: str
    notes: list[str]


class TestDoneModel(BaseModel):
    """A result written down; false in `counts` when something fresh came in after it."""

    entry_id: str
    at: datetime
    judged: JudgedModel
    counts: bool


class GuideModel(BaseModel):
    """How a test is done, step by step."""

    procedure: str
    name: str
    aspect: str
    work_minutes: float
    wait_days: list[float]
    tells: str
    passes: str
    needs: list[str]
    steps: list[str]
    cautions: list[str]
    source: str
    place: str
    evidence: str
    note: str


class ReadyDateModel(BaseModel):
    """When it will have cured; null is beyond a year."""

    low_days: float | None
    likely_days: float | None
    high_days: float | None
    low: datetime | None
    likely: datetime | None
    high: datetime | None
    hot_work_days: IntervalModel | None
    told: str
    kept_well: str | None
    basis: list[str]


class ExpectedModel(BaseModel):
    """What it gives when it is finished."""

    dry_mass_kg: IntervalModel
    wet_mass_kg: IntervalModel
    nitrogen_kg: IntervalModel
    nitrogen_dry: IntervalModel
    volume_m3: IntervalModel
    volume_by_shrinking_m3: IntervalModel
    told: list[str]
    basis: list[str]


class ReadyModel(BaseModel):
    """Whether the heap in a bin is finished, and for what; never proof of hygiene."""

    bin_key: str
    batch_name: str
    stage: str
    headline: str
    stage_told: list[str]
    uses: list[UseStateModel]
    aspects: list[AspectStateModel]
    done: list[TestDoneModel]
    reheating: JudgedModel
    remarks: list[str]
    following: GuideModel | None
    guides: list[GuideModel]
    date: ReadyDateModel | None
    expected: ExpectedModel | None
    notes: list[str]
    cautions: list[str]
