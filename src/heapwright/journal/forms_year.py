"""What the entries of the year hold: site, beds, arrivals, days away, wishes, what was spread.

Knows the fields one by one and which go together. Knows nothing of plans.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date
from typing import Any

from heapwright.errors import NotUnderstood, OutOfRange
from heapwright.journal import fields
from heapwright.journal.body_form import Field, need
from heapwright.materials.types import Packing
from heapwright.wording import worded

BED_USES = ("new bed", "top-up", "mulch", "lawn", "new lawn", "potting mix")
PHOSPHORUS = ("unknown", "low", "high")
SPREADS = ("own compost", "bought compost", "manure compost", "manure")
WEEK_DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_MONTH_DAY = re.compile(r"\d{2}-\d{2}")
_A_LEAP_YEAR = 2000
#: Days outside of these years are slips of the pen, and half a year about them cannot be told.
_FIRST_YEAR, _LAST_YEAR = 1900, 2199


def a_date(label: str, value: Any) -> str:
    """Read a day of the calendar, of a year that a garden can have to do with."""
    try:
        day = date.fromisoformat(value)
    except (TypeError, ValueError) as problem:
        raise NotUnderstood(
            worded("{label} {shown} is not a day", label=label, shown=fields.shown(value)),
            instead="Write it like 2026-05-03",
        ) from problem
    if not _FIRST_YEAR <= day.year <= _LAST_YEAR:
        raise OutOfRange(
            worded("{label} {shown} is too far off", label=label, shown=fields.shown(value)),
            why=worded(
                "the year lies between {first} and {last}",
                first=f"{_FIRST_YEAR}",
                last=f"{_LAST_YEAR}",
            ),
            instead="Look at the year",
        )
    return day.isoformat()


def month_day(label: str, value: Any) -> str:
    """Read a day that comes every year."""
    try:
        if not _MONTH_DAY.fullmatch(value):
            raise ValueError(value)
        date.fromisoformat(f"{_A_LEAP_YEAR}-{value}")
    except (TypeError, ValueError) as problem:
        raise NotUnderstood(
            worded(
                "{label} {shown} is not a day of the year", label=label, shown=fields.shown(value)
            ),
            instead="Write month and day like 05-03",
        ) from problem
    return str(value)


_KEY = need("Key", fields.key)
_NAME = need("Name", fields.text(fields.NAME_LENGTH))
_WHY = Field("Why", fields.text())
_NOTE = Field("Note", fields.text())
_AREA = fields.or_nothing(fields.number("area_m2"))
_LENGTH = fields.or_nothing(fields.number("site_m"))
_PRICE = fields.or_nothing(fields.number("price_m3"))

SITE_FORM: Mapping[str, Field] = {
    "people": Field(
        "People in the household", fields.or_nothing(fields.number("people", whole=True))
    ),
    "lawn_m2": Field("Lawn", _AREA),
    "beds_m2": Field("Beds", _AREA),
    "canopy_m2": Field("Ground under leafy trees", _AREA),
    "space_width_m": Field("Width of the place", _LENGTH),
    "space_depth_m": Field("Depth of the place", _LENGTH),
    "tap_m": Field("Way to the tap", _LENGTH),
    "fence_m": Field("Way to the boundary", _LENGTH),
    "dwelling_m": Field("Way to the next dwelling", _LENGTH),
    "well_m": Field("Way to a well or stream", _LENGTH),
    "shade": Field("Shade", fields.or_nothing(fields.number("shade"))),
}
BED_FORM: Mapping[str, Field] = {
    "key": _KEY,
    "name": _NAME,
    "use": need("Use", fields.choice(BED_USES)),
    "area_m2": Field("Area", fields.number("area_m2", above_low=True)),
    "volume_m3": Field("Potting mix", fields.number("used_m3", above_low=True)),
    "due": need("Wanted by", a_date),
    "every_year": Field("Every year", fields.flag),
    "depth_m": Field("Depth", fields.number("bed_depth_m", above_low=True)),
    "weight": Field("How important", fields.number("bed_weight", whole=True)),
    "phosphorus": Field("Phosphorus", fields.choice(PHOSPHORUS)),
    "salt_sensitive": Field("Salt-sensitive plants", fields.flag),
    "raw_harvest": Field("Eaten raw", fields.flag),
}
BED_GONE_FORM: Mapping[str, Field] = {"bed": need("Bed", fields.key), "why": _WHY}
ARRIVAL_FORM: Mapping[str, Field] = {
    "key": _KEY,
    "material_key": need("Material", fields.key),
    "volume_m3_week": need("Amount in a week", fields.spread("arrival_m3_week")),
    "from_day": need("From", month_day),
    "to_day": need("To", month_day),
    "packing": Field("Packing", fields.choice(Packing)),
    "keeps_days": Field("Keeps for", fields.spread("keeps_days")),
    "container_name": Field("Container", fields.text(fields.NAME_LENGTH)),
    "container_volume_m3": Field("Container volume", fields.number("container_volume_m3")),
}
ARRIVAL_GONE_FORM: Mapping[str, Field] = {"arrival": need("Arrival", fields.key), "why": _WHY}
AWAY_FORM: Mapping[str, Field] = {
    "key": _KEY,
    "from_date": need("From", a_date),
    "to_date": need("To", a_date),
    "why": _WHY,
}
AWAY_GONE_FORM: Mapping[str, Field] = {"away": need("Days away", fields.key)}
WISHES_FORM: Mapping[str, Field] = {
    "work_days": Field("Working days", fields.several(fields.choice(WEEK_DAYS))),
    "loads_per_week": Field("Barrow loads in a week", fields.number("loads_per_week")),
    "sureness": Field("How sure", fields.number("sureness")),
    "batches_most": Field("Heaps in a year", fields.number("batches_most", whole=True)),
    "gather_weeks": Field("Weeks to fill a bin", fields.number("gather_weeks", whole=True)),
    "shredding": Field("Shredding", fields.flag),
    "leaf_store_m3": Field("Room for leaves", fields.or_nothing(fields.number("leaf_store_m3"))),
    "water_price_m3": Field("Price of water", _PRICE),
    "compost_price_m3": Field("Price of compost", _PRICE),
    "currency": Field("Money", fields.text(8)),
}
SPREAD_FORM: Mapping[str, Field] = {
    "bed": need("Bed", fields.key),
    "volume_m3": need("Amount", fields.number("used_m3", above_low=True)),
    "what": need("What it was", fields.choice(SPREADS)),
    "note": _NOTE,
}


def site_together(body: dict[str, Any]) -> None:
    """Refuse a site of which nothing is said."""
    if not body:
        raise NotUnderstood("Nothing is said of the site", instead="Name at least one thing")


def wishes_together(body: dict[str, Any]) -> None:
    """Refuse wishes of which none is said."""
    if not body:
        raise NotUnderstood("No wish is said", instead="Name at least one")


def bed_together(body: dict[str, Any]) -> None:
    """Refuse a bed without its size, or with two of them."""
    if ("area_m2" in body) == ("volume_m3" in body):
        raise NotUnderstood(
            "A bed has an area, potting mix an amount: one of the two is needed",
            instead="Give the area of the bed, or how much potting mix is wanted",
        )
    if "volume_m3" in body and body["use"] != "potting mix":
        raise NotUnderstood(
            "Only potting mix is wanted by its amount", instead="Give the area of the bed"
        )


def arrival_together(body: dict[str, Any]) -> None:
    """Refuse an arrival of nothing, and a container without its volume."""
    if body["volume_m3_week"][2] <= 0:
        raise OutOfRange(
            "Nothing would arrive", instead="Give how much comes in a week, or take it away"
        )
    if ("container_name" in body) != ("container_volume_m3" in body):
        raise NotUnderstood("A container goes with its volume", instead="Give both or neither")


def away_together(body: dict[str, Any]) -> None:
    """Refuse days away that end before they begin."""
    if body["to_date"] < body["from_date"]:
        raise OutOfRange(
            worded(
                "Away from {from_date} to {to_date}: that ends before it begins",
                from_date=body["from_date"],
                to_date=body["to_date"],
            ),
            instead="Give the first day away, then the last",
        )
