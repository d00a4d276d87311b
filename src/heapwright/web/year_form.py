"""Reads the forms of the year: how a person works, and when they are away.

Knows fields and units. Knows nothing of plans.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

from heapwright.errors import NotUnderstood
from heapwright.journal import fields
from heapwright.journal.entries_year import WishesState
from heapwright.journal.forms_year import WEEK_DAYS, WISHES_FORM, a_date
from heapwright.quantities import UnitSystem, from_si, parse_number
from heapwright.web.forms import Filled

#: Prices are asked for so much: 1000 US gallons or one m³ of water, one yd³ or one m³ of compost.
_PRICED = {UnitSystem.US: ("1000 gal", "yd³"), UnitSystem.METRIC: ("m³", "m³")}


def price_units(system: UnitSystem) -> tuple[str, str]:
    """Return for how much water and compost a price is asked."""
    return _PRICED[system]


def per_m3(system: UnitSystem) -> tuple[float, float]:
    """Return how many of those make a m³, for water and for compost."""
    if system is UnitSystem.US:
        return from_si(1.0, "gal") / 1000.0, from_si(1.0, "yd3")
    return 1.0, 1.0


def shown(wishes: WishesState, loads: float, system: UnitSystem) -> Mapping[str, str]:
    """Return what stands in the form of wishes at first."""
    water, compost = per_m3(system)

    def price(value: float | None, one_m3: float) -> str:
        return "" if value is None else f"{value / one_m3:.4g}"

    return {
        "loads_per_week": f"{loads:g}",
        "sureness": f"{wishes.sureness:g}",
        "batches_most": f"{wishes.batches_most}",
        "gather_weeks": f"{wishes.gather_weeks}",
        "water_price": price(wishes.water_price_m3, water),
        "compost_price": price(wishes.compost_price_m3, compost),
    }


def read_wishes(form: Filled, system: UnitSystem) -> dict[str, Any]:
    """Return the wishes that a form tells; what is wrong is held in it."""
    water, compost = per_m3(system)
    days = [day for day in form.every("work_days") if day in WEEK_DAYS]
    if not days:
        form.wrong(
            "work_days",
            NotUnderstood(
                "No day is chosen", instead="Choose one day at least, or enter days away"
            ),
        )
    said: dict[str, Any] = {"work_days": days}
    for name, label in (
        ("loads_per_week", "Barrow loads in a week"),
        ("sureness", "How sure"),
        ("batches_most", "Heaps in a year"),
        ("gather_weeks", "Weeks to fill a bin"),
    ):
        value = form.need(name, label, _number(name), "such as 12")
        if value is not None:
            said[name] = value
    if form.text("shredding"):
        said["shredding"] = form.text("shredding") == "yes"
    for name, key, one_m3, label in (
        ("water_price", "water_price_m3", water, "Price of water"),
        ("compost_price", "compost_price_m3", compost, "Price of compost"),
    ):
        price = form.read(name, label, _price(key, one_m3, label))
        said[key] = price
    currency = form.read("currency", "Money", lambda text: fields.text(8)("Money", text))
    if currency:
        said["currency"] = currency
    return said


def _number(name: str) -> Callable[[str], float | int]:
    field = WISHES_FORM[name]

    def read(text: str) -> float | int:
        value = parse_number(text, what=field.label)
        checked: float | int = field.read(field.label, value)
        return checked

    return read


def _price(key: str, one_m3: float, label: str) -> Callable[[str], float]:
    def read(text: str) -> float:
        return float(WISHES_FORM[key].read(label, parse_number(text, what=label) * one_m3))

    return read


def read_away(form: Filled) -> tuple[date, date, str] | None:
    """Return the days away that a form tells; None when something is wrong."""
    first = form.need("from_date", "First day away", _day("First day away"), "such as 2026-07-01")
    last = form.need("to_date", "Last day away", _day("Last day away"), "such as 2026-07-14")
    if first is not None and last is not None and last < first:
        form.wrong(
            "to_date",
            NotUnderstood(
                "The last day away lies before the first", instead="Give the later day here"
            ),
        )
    if form.problems or first is None or last is None:
        return None
    return first, last, form.text("why")


def _day(label: str) -> Callable[[str], date]:
    return lambda text: date.fromisoformat(a_date(label, text))
