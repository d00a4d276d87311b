"""Turns the form of a bed, and of what was spread on one, into what the workshop is told.

Knows the fields and how a bed is shown in them. Knows nothing of pages or of storing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, tzinfo
from typing import Any

from heapwright.errors import NotUnderstood
from heapwright.garden.beds_types import POTTING_MIX, Bed
from heapwright.journal import fields
from heapwright.journal.entries import GardenState
from heapwright.journal.forms_year import BED_USES, PHOSPHORUS, SPREADS
from heapwright.quantities import UnitSystem, format_length, from_si, parse_area_m2, parse_length_m
from heapwright.web.forms import Filled, within
from heapwright.web.log_form import volume_of
from heapwright.web.moments import read_moment
from heapwright.wording import worded

WEIGHTS = ("1", "2", "3")


@dataclass(frozen=True, slots=True)
class SpreadTold:
    """What was spread, as the form tells it."""

    volume_m3: float
    what: str
    at: datetime | None


def read_bed(form: Filled, state: GardenState) -> Mapping[str, Any] | None:
    """Return the arguments of `beds_log.save_bed`; None when something is wrong."""
    system = UnitSystem(state.settings.units)
    use = form.one_of("use", "Use", BED_USES)
    if use is None:
        form.wrong("use", NotUnderstood("The use is missing", instead="Choose what it is for"))
    is_mix = use == POTTING_MIX
    area_m2 = mix_m3 = None
    if is_mix:
        mix_m3 = form.need(
            "size", "How much mix", lambda text: volume_of(text, state), "it such as 40 L"
        )
    elif use is not None:
        area_m2 = form.need(
            "size",
            "Area",
            lambda text: parse_area_m2(text, system),
            "it such as 32 ft2, 3 m2 or 4 x 8 ft",
        )

    def depth_m(text: str) -> float:
        metres = parse_length_m(text, system, what="Depth")
        return within("bed_depth_m", "Depth", metres, lambda m: format_length(m, system))

    told = {
        "name": form.need("name", "Its name", _name, "it such as Tomato bed"),
        "use": use,
        "due": form.need("due", "Wanted by", _day, "a day such as 2026-05-03"),
        "area_m2": area_m2,
        "mix_m3": mix_m3,
        "every_year": form.has("every_year", "yes"),
        "depth_m": None if is_mix else form.read("depth", "Depth", depth_m),
        "weight": int(form.one_of("weight", "How important", WEIGHTS) or "2"),
        "phosphorus": form.one_of("phosphorus", "Phosphorus", PHOSPHORUS) or "unknown",
        "salt_sensitive": form.has("plants", "salt"),
        "raw_harvest": form.has("plants", "raw"),
    }
    return None if form.problems else told


def read_spread(form: Filled, state: GardenState, zone: tzinfo, now: datetime) -> SpreadTold | None:
    """Return what was spread; None when something is wrong."""
    volume_m3 = form.need(
        "amount",
        "How much",
        lambda text: volume_of(text, state),
        "it such as 2 wheelbarrows, 3 pails or 40 L",
    )
    what = form.one_of("what", "What it was", SPREADS)
    at = form.read("at", "When", lambda text: read_moment(text, zone, now))
    if what is None:
        form.wrong("what", NotUnderstood("What it was is missing", instead="Choose one"))
    if form.problems or volume_m3 is None or what is None:
        return None
    return SpreadTold(volume_m3, what, at)


def shown(bed: Bed, system: UnitSystem) -> Mapping[str, str]:
    """Return what stands in the fields while a bed is altered."""
    is_metric = system is UnitSystem.METRIC
    if bed.mix_m3 is not None:
        unit = "L" if is_metric else "gal"
        size = f"{from_si(bed.mix_m3, unit):.4g} {unit}"
    else:
        unit = "m2" if is_metric else "ft2"
        size = f"{(bed.area_m2 or 0.0) / parse_area_m2(f'1 {unit}', system):.5g} {unit}"
    length = "cm" if is_metric else "in"
    depth = "" if bed.depth_m is None else f"{from_si(bed.depth_m, length):.4g} {length}"
    return {"size": size, "depth": depth, "due": bed.due.isoformat(), "weight": str(bed.weight)}


def _name(text: str) -> str:
    return str(fields.text(fields.NAME_LENGTH)("Its name", text))


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as problem:
        raise NotUnderstood(
            worded('"{text}" is not a day', text=text), instead="Write it like 2026-05-03"
        ) from problem
