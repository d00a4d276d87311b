"""The document of `/api/bins/{key}/diagnosis`: causes, next look, remedy, field by field.

Knows names and types only. They mirror `workshop.diagnose_answer`; a test holds the two together.
"""

from __future__ import annotations

from pydantic import BaseModel, Field

from heapwright.web.api_models import IntervalModel


class CauseModel(BaseModel):
    """One cause with its probability, 0-1."""

    id: str
    name: str
    told: str
    probability: IntervalModel
    because: list[str]
    against: list[str]
    source: str


class OutcomeModel(BaseModel):
    """What one outcome of the next look would mean."""

    sign: str
    outcome: str
    seen: str
    means: str
    chance: float


class CheckModel(BaseModel):
    """The look that tells the two likeliest causes apart best."""

    sign: str
    ask: str
    why: str
    gain_bits: float = Field(description="Expected loss of uncertainty between the two")
    outcomes: list[OutcomeModel]


class AfterRemedyModel(BaseModel):
    """The hottest reading of the next days by the model, with the remedy and without, in °C."""

    days: float
    with_remedy_c: IntervalModel
    left_alone_c: IntervalModel
    told: str


class RemedyModel(BaseModel):
    """What to do about the likeliest cause."""

    kind: str
    headline: str
    amounts: list[str]
    expected: list[str]
    cautions: list[str]
    after: AfterRemedyModel | None


class DiagnosisModel(BaseModel):
    """What is most likely wrong with the heap in a bin."""

    bin_key: str
    bin_name: str
    batch_name: str
    headline: str
    is_danger: bool = Field(description="It may be burning: nobody opens it")
    is_sure: bool
    causes: list[CauseModel]
    weighed: list[str]
    check: CheckModel | None
    remedy: RemedyModel
    notes: list[str]
