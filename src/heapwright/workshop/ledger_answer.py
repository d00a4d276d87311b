"""The typed answer to what water, compost and material went through the garden, month by month.

Knows what the answer holds. Knows nothing of how it comes about or how it is shown.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from heapwright.garden.ledger_types import Money, Prices, Range, Sums
from heapwright.sentences import Sentence
from heapwright.tables import Estimate


@dataclass(frozen=True, slots=True)
class MonthDone:
    """What a month was, as far as it is past.

    Attributes
    ----------
    month : date
        Its first day.
    sums : Sums
    money : Money

    """

    month: date
    sums: Sums
    money: Money


@dataclass(frozen=True, slots=True)
class MonthAhead:
    """What is expected of a month, from today on.

    Attributes
    ----------
    month : date
        Its first day.
    water_kg : Range
        For the planned heaps. [kg]
    own_m3 : float
        Own compost that is surely there for the beds due in it: at least so much. [m³]
    buy_m3 : float
        What those beds lack then: at most so much. [m³]
    money : Money

    """

    month: date
    water_kg: Range
    own_m3: float
    buy_m3: float
    money: Money


@dataclass(frozen=True, slots=True)
class Factor:
    """A published value that the carbon rests on."""

    id: str
    told: str
    value: Estimate
    unit: str
    citation: str
    place: str


@dataclass(frozen=True, slots=True)
class Carbon:
    """What kitchen scraps kept out of the air, if a landfill was where they would have gone.

    Attributes
    ----------
    kitchen_kg : float
        Kitchen scraps that went into heaps. [kg wet]
    per_kg : Range
        Kept out of the air by each kilogram. [kg CO2e/kg]
    kept_kg : Range
        [kg CO2e]
    told : tuple of Sentence
    factors : tuple of Factor

    """

    kitchen_kg: float
    per_kg: Range
    kept_kg: Range
    told: tuple[Sentence, ...]
    factors: tuple[Factor, ...]


@dataclass(frozen=True, slots=True)
class Ledger:
    """What went through the garden in some months, and what is expected of those ahead.

    Attributes
    ----------
    garden_name : str
    is_demo : bool
    today : date
    year : int or None
        The calendar year asked for; None is the last twelve months and what is planned.
    years : tuple of int
        Those with something in them.
    prices : Prices
    done : tuple of MonthDone
        Up to the running month.
    done_sums : Sums
    done_money : Money
    ahead : tuple of MonthAhead
        From the running month on, as far as the plan goes; empty without a plan.
    ahead_sum : MonthAhead or None
        All of them together; its water's range is narrower than its months' end by end.
    carbon : Carbon
        Of the months done.
    told : tuple of Sentence
        What it comes to.
    notes : tuple of Sentence
        What is not counted, and why something is not told.

    """

    garden_name: str
    is_demo: bool
    today: date
    year: int | None
    years: tuple[int, ...]
    prices: Prices
    done: tuple[MonthDone, ...]
    done_sums: Sums
    done_money: Money
    ahead: tuple[MonthAhead, ...]
    ahead_sum: MonthAhead | None
    carbon: Carbon
    told: tuple[Sentence, ...]
    notes: tuple[Sentence, ...]
