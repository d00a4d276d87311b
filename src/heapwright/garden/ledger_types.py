"""What a ledger of water, compost and material is made of: bookings, sums, ranges, prices.

Knows shapes and units. Reckons nothing but sums.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from datetime import date
from enum import StrEnum


class Kind(StrEnum):
    """What is booked; the unit of its amount."""

    WATER = "water"  # kg, 1 kg is 1 litre
    OWN = "own compost"  # m³, taken out and used
    BOUGHT = "bought compost"  # m³, put on a bed
    KITCHEN = "kitchen scraps"  # kg wet, gone into a heap
    GREENS = "other greens"  # kg wet
    BROWNS = "browns"  # kg wet
    OTHER = "other"  # kg wet: ash, shells, soil, old compost


@dataclass(frozen=True, slots=True)
class Booking:
    """One thing that went in or out; `amount` is None when nobody said how much."""

    on: date
    kind: Kind
    amount: float | None


@dataclass(frozen=True, slots=True)
class Sums:
    """What came together in some time.

    Attributes
    ----------
    water_kg : float
        Given to heaps; 1 kg is 1 litre. [kg]
    own_m3, bought_m3 : float
        Own compost used, compost bought. [m³]
    kitchen_kg, greens_kg, browns_kg, other_kg : float
        Wet mass that went into heaps. [kg]
    unmeasured : int
        Bookings without an amount; they are in no sum.

    """

    water_kg: float = 0.0
    own_m3: float = 0.0
    bought_m3: float = 0.0
    kitchen_kg: float = 0.0
    greens_kg: float = 0.0
    browns_kg: float = 0.0
    other_kg: float = 0.0
    unmeasured: int = 0

    def plus(self, other: Sums) -> Sums:
        """Return both together."""
        return Sums(*(getattr(self, one.name) + getattr(other, one.name) for one in fields(Sums)))

    @property
    def material_kg(self) -> float:
        """Everything that went into heaps but water. [kg]"""
        return self.kitchen_kg + self.greens_kg + self.browns_kg + self.other_kg


@dataclass(frozen=True, slots=True)
class Range:
    """A number not exactly known: one in ten below low, one in ten above high."""

    low: float
    likely: float
    high: float

    @classmethod
    def exactly(cls, value: float) -> Range:
        """Return a number that is known."""
        return cls(value, value, value)

    def times(self, factor: float) -> Range:
        """Return so many times as much; a factor below nothing is not meant."""
        return Range(self.low * factor, self.likely * factor, self.high * factor)


@dataclass(frozen=True, slots=True)
class Prices:
    """What a person pays, in their own money; None where they did not say."""

    water_m3: float | None = None
    compost_m3: float | None = None
    currency: str = ""

    @property
    def are_there(self) -> bool:
        """Whether any price is known."""
        return self.water_m3 is not None or self.compost_m3 is not None


@dataclass(frozen=True, slots=True)
class Money:
    """What something costs or saves, in the person's own money; None without a price.

    Attributes
    ----------
    water : Range or None
        Paid for water.
    bought : float or None
        Paid for compost that is bought.
    saved : float or None
        What the own compost would have cost.

    """

    water: Range | None = None
    bought: float | None = None
    saved: float | None = None
