"""Turns the form of a site into what the workshop is told, and a site into the form's words.

Knows the fields. A field left blank clears what was said before. Knows nothing of pages.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

from heapwright.errors import NotUnderstood
from heapwright.garden.site_types import Site
from heapwright.quantities import (
    UnitSystem,
    format_area,
    format_length,
    from_si,
    parse_area_m2,
    parse_length_m,
    parse_number,
)
from heapwright.web.forms import Filled, within

AREAS = {"lawn_m2": "Lawn", "beds_m2": "Beds", "canopy_m2": "Ground under leafy trees"}
LENGTHS = {
    "space_width_m": "Width of the place",
    "space_depth_m": "Depth of the place",
    "tap_m": "Way to the tap",
    "fence_m": "Way to the boundary",
    "dwelling_m": "Way to the next dwelling",
    "well_m": "Way to a well or stream",
}
SHADES = ("0", "0.5", "0.9")


def read_site(form: Filled, before: Site, system: UnitSystem) -> Mapping[str, Any] | None:
    """Return what is said of the site now, what was said before and is no more as None.

    Returns None when something is wrong, or nothing is said and nothing was.
    """
    said: dict[str, Any] = {"people": form.read("people", "People in the household", _people)}
    for name, label in AREAS.items():
        said[name] = form.read(name, label, partial(_area, system, label))
    for name, label in LENGTHS.items():
        said[name] = form.read(name, label, partial(_length, system, label))
    shade = form.one_of("shade", "Shade", SHADES)
    said["shade"] = None if shade is None else float(shade)
    if form.problems:
        return None
    told = {
        name: value
        for name, value in said.items()
        if value is not None or getattr(before, name) is not None
    }
    if not told:
        form.wrong(
            "people",
            NotUnderstood("Nothing is said of the site", instead="Fill in what you know"),
        )
        return None
    return told


def shown(site: Site, system: UnitSystem) -> Mapping[str, str]:
    """Return what stands in the fields: what was said, in the reader's units."""
    is_metric = system is UnitSystem.METRIC
    area, length = ("m2", "m") if is_metric else ("ft2", "ft")
    one_area_m2 = parse_area_m2(f"1 {area}", system)
    words = {"people": "" if site.people is None else str(site.people)}
    for name in AREAS:
        value = getattr(site, name)
        words[name] = "" if value is None else f"{value / one_area_m2:.5g} {area}"
    for name in LENGTHS:
        value = getattr(site, name)
        words[name] = "" if value is None else f"{from_si(value, length):.4g} {length}"
    return words | {"shade": _nearest_shade(site.shade)}


def _nearest_shade(shade: float | None) -> str:
    return "" if shade is None else min(SHADES, key=lambda one: abs(float(one) - shade))


def _people(text: str) -> int:
    number = parse_number(text, what="People")
    if number != int(number):
        raise NotUnderstood("People are counted in whole numbers", instead="Write it such as 3")
    return int(within("people", "People", number, lambda value: f"{value:g}"))


def _area(system: UnitSystem, what: str, text: str) -> float:
    area_m2 = parse_area_m2(text, system, what=what)
    return within("area_m2", what, area_m2, lambda value: format_area(value, system))


def _length(system: UnitSystem, what: str, text: str) -> float:
    """Return a length; a bare number is feet or metres here, for nobody paces inches."""
    plain = text.strip()
    has_unit = any(sign.isalpha() or sign in "'\"′″" for sign in plain)
    unit = "m" if system is UnitSystem.METRIC else "ft"
    metres = parse_length_m(plain if has_unit else f"{plain} {unit}", system, what=what)
    return within("site_m", what, metres, lambda value: format_length(value, system))
