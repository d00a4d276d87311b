"""The document of the ledger, field by field.

Knows names and types only; it mirrors `workshop.ledger_answer` and `garden.ledger_types`. Numbers
are SI, money is the person's own, sentences are ready to show in the garden's units.
"""

from __future__ import annotations

from datetime import date

from pydantic import BaseModel, Field

from heapwright.web.api_garden_models import EstimateModel


class RangeModel(BaseModel):
    """One in ten below low, one in ten above high."""

    low: float
    likely: float = Field(description="Of expected water the mean, which adds up by month")
    high: float


class SumsModel(BaseModel):
    """What came together in some months."""

    water_kg: float = Field(description="1 kg is 1 litre")
    own_m3: float = Field(description="Own compost used")
    bought_m3: float
    kitchen_kg: float = Field(description="Wet mass that went into heaps, as the three below")
    greens_kg: float
    browns_kg: float
    other_kg: float
    unmeasured: int = Field(description="Bookings without an amount; they are in no sum")


class PricesModel(BaseModel):
    """What this person pays for a cubic metre; null where they did not say."""

    water_m3: float | None
    compost_m3: float | None
    currency: str


class MoneyModel(BaseModel):
    """What it costs or saves; null without a price."""

    water: RangeModel | None
    bought: float | None
    saved: float | None = Field(description="What the own compost would have cost")


class MonthDoneModel(BaseModel):
    """What a month was, as far as it is past."""

    month: date
    sums: SumsModel
    money: MoneyModel


class MonthAheadModel(BaseModel):
    """What is expected of a month, from today on."""

    month: date
    water_kg: RangeModel
    own_m3: float = Field(description="Surely there for the beds due in it: at least so much")
    buy_m3: float = Field(description="What those beds lack then: at most so much")
    money: MoneyModel


class FactorModel(BaseModel):
    """A published value that the carbon rests on."""

    id: str
    told: str
    value: EstimateModel
    unit: str
    citation: str
    place: str


class CarbonModel(BaseModel):
    """Kept out of the air, if a landfill was where the kitchen scraps would have gone."""

    kitchen_kg: float
    per_kg: RangeModel = Field(description="kg CO2e for each kg of kitchen scraps, wet")
    kept_kg: RangeModel = Field(description="kg CO2e")
    told: list[str]
    factors: list[FactorModel]


class LedgerModel(BaseModel):
    """What went through the garden by month, and what is expected."""

    garden_name: str
    is_demo: bool
    today: date
    year: int | None = Field(description="Null: the last twelve months, and the plan's")
    years: list[int]
    prices: PricesModel
    done: list[MonthDoneModel]
    done_sums: SumsModel
    done_money: MoneyModel
    ahead: list[MonthAheadModel]
    ahead_sum: MonthAheadModel | None
    carbon: CarbonModel
    told: list[str]
    notes: list[str]
