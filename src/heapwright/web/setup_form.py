"""Reads the forms of the Garden page: settings, bins, own containers.

Knows their fields and the units they are written in. Stores nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any
from zoneinfo import available_timezones

from heapwright.errors import NotUnderstood, OutOfRange
from heapwright.heap.types import Cover, Ground, Wall
from heapwright.journal import fields
from heapwright.journal.entries import BinState, GardenSettings, GardenState
from heapwright.journal.forms import UNITS
from heapwright.quantities import (
    UnitSystem,
    format_length,
    format_volume,
    parse_length_m,
    parse_number,
    parse_share,
    parse_volume_m3,
)
from heapwright.web.forms import Filled, within
from heapwright.web.water_form import WATER_KG_PER_M3, pail
from heapwright.wording import languages, worded
from heapwright.workshop.setup import climate_choices

#: More bins in a row than this at once is a slip of the finger.
MOST_BINS_AT_ONCE = 12
SHADES = ("0", "0.3", "0.6", "0.9")


@dataclass(frozen=True, slots=True)
class NewBin:
    """A bin as written on the form; `how_many` of them stand in a row."""

    name: str
    width_m: float
    depth_m: float
    height_m: float
    wall: str
    cover: str
    ground: str
    shade: float
    how_many: int


def read_settings(form: Filled, state: GardenState) -> dict[str, Any]:
    """Return the settings that the form changes; what is wrong is held in the form."""
    now = state.settings
    said: dict[str, Any] = {
        "name": form.need("name", "The garden's name", _name("The garden's name"), "a name"),
        "units": form.one_of("units", "Units", UNITS),
        "language": _language(form),
        "time_zone": form.need("time_zone", "Time zone", _zone, "such as America/Phoenix"),
        "climate": form.one_of("climate", "Climate", [one.key for one in climate_choices()]),
        "probe_depth_m": form.read("probe_depth", "Depth", _depth(now)),
        "online_weather": form.has("online_weather", "yes"),
    }
    found = {name: value for name, value in said.items() if value is not None}
    found |= _place(form) | _hose(form, now)
    if found["online_weather"] and not form.problems:
        _needs_a_place(form, now, found)
    return {name: value for name, value in found.items() if value != getattr(now, name)}


def _language(form: Filled) -> str | None:
    """Return the language chosen, "" for each browser's own; None when the form has none."""
    if form.sent("language") and form.text("language") == "":
        return ""
    return form.one_of("language", "Language", languages())


def _name(label: str) -> Any:
    return lambda text: str(fields.text(fields.NAME_LENGTH)(label, text))


def _zone(text: str) -> str:
    return fields.zone("Time zone", text)


def zone_names() -> list[str]:
    """Return the names of the time zones of places, for the list to choose from."""
    return sorted(name for name in available_timezones() if "/" in name or name == "UTC")


def _depth(settings: GardenSettings) -> Any:
    system = UnitSystem(settings.units)

    def read(text: str) -> float:
        if text == format_length(settings.probe_depth_m, system):
            return settings.probe_depth_m  # as shown, rounded: it was not touched
        depth = parse_length_m(text, system, what="Depth")
        return within("probe_depth_m", "Depth", depth, lambda m: format_length(m, system))

    return read


def _place(form: Filled) -> dict[str, Any]:
    """Return latitude and longitude; both or none."""
    given = {
        name: form.read(name, name.capitalize(), _degrees(name))
        for name in ("latitude", "longitude")
    }
    blank = [name for name in given if not form.text(name)]
    if len(blank) == 1:
        form.wrong(
            blank[0],
            NotUnderstood(
                worded("{blank} is missing", blank=blank[0].capitalize()),
                instead="Give both, or leave both blank",
            ),
        )
    return given if not form.problems else {}


def _degrees(limit_id: str) -> Any:
    def read(text: str) -> float:
        value = parse_number(text.rstrip("° "), what=limit_id.capitalize())
        return within(limit_id, limit_id.capitalize(), value, lambda number: f"{number:g}°")

    return read


def _hose(form: Filled, settings: GardenSettings) -> dict[str, Any]:
    """Return the hose's flow from the seconds that fill the usual pail. [kg/s]"""
    if form.text("hose") == shown_seconds(settings):
        return {}
    if not form.text("hose"):
        return {"hose_kg_s": None}
    water_kg = pail(settings).volume_m3 * WATER_KG_PER_M3

    def read(text: str) -> float:
        seconds = parse_number(text, what="Seconds")
        if seconds <= 0:
            raise OutOfRange(
                worded("{seconds:g} seconds", seconds=seconds),
                instead="Count how long the pail takes",
            )
        slowest = water_kg / fields.limit("hose_kg_s").high
        if seconds < slowest:
            raise OutOfRange(
                worded("{seconds:g} seconds for a pail", seconds=seconds),
                why="no garden hose gives so much",
                instead="Count again from empty to full",
            )
        return water_kg / seconds

    flow = form.read("hose", "Hose", read)
    return {} if flow is None else {"hose_kg_s": flow}


def shown_seconds(settings: GardenSettings) -> str:
    """Return the seconds the hose takes for the usual pail, as the form shows them."""
    if settings.hose_kg_s is None:
        return ""
    return f"{pail(settings).volume_m3 * WATER_KG_PER_M3 / settings.hose_kg_s:.0f}"


def _needs_a_place(form: Filled, now: GardenSettings, found: dict[str, Any]) -> None:
    has_place = found.get("latitude", now.latitude) is not None
    if not has_place and not found.get("climate", now.climate):
        form.wrong(
            "latitude",
            NotUnderstood(
                "The forecast needs a place",
                instead="Give latitude and longitude, or choose a climate",
            ),
        )


def shown_sizes(bin_state: BinState, system: UnitSystem) -> dict[str, str]:
    """Return a bin's sizes and shade as the form shows them, rounded."""
    return {
        "width": format_length(bin_state.width_m, system),
        "depth": format_length(bin_state.depth_m, system),
        "height": format_length(bin_state.height_m, system),
        "shade": f"{bin_state.shade * 100:.0f} %",
    }


def _side(form: Filled, name: str, system: UnitSystem, before: BinState | None) -> float | None:
    """Return a side of the bin; what stands there as shown was not touched. [m]"""
    label = name.capitalize()
    if before is not None and form.text(name) == shown_sizes(before, system)[name]:
        return float(getattr(before, f"{name}_m"))

    def read(text: str) -> float:
        metres = parse_length_m(text, system, what=label)
        return within("bin_side_m", label, metres, lambda m: format_length(m, system))

    return form.need(name, label, read, "it such as 36 in or 90 cm")


def read_bin(form: Filled, state: GardenState, before: BinState | None = None) -> NewBin | None:
    """Return the bin on the form, None when something is wrong (held in the form).

    Parameters
    ----------
    form : Filled
    state : GardenState
    before : BinState, optional
        The bin as it is, when it is altered and not made.

    """
    system = UnitSystem(state.settings.units)
    name = form.need("bin_name", "The bin's name", _name("The bin's name"), "such as Left bin")
    width = _side(form, "width", system, before)
    depth = _side(form, "depth", system, before)
    height = _side(form, "height", system, before)
    wall = form.one_of("wall", "Wall", Wall)
    cover = form.one_of("cover", "Cover", Cover)
    ground = form.one_of("ground", "Ground", Ground)
    shade = form.read("shade", "Shade", _shade)
    how_many = form.read("how_many", "How many", _how_many) if before is None else 1
    if form.problems or name is None or width is None or depth is None or height is None:
        return None
    return NewBin(
        name,
        width,
        depth,
        height,
        wall or str(Wall.PALLETS),
        cover or str(Cover.BROWN_CAP),
        ground or str(before.ground if before else Ground.COARSE),
        shade or 0.0,
        how_many or 1,
    )


def _shade(text: str) -> float:
    return parse_share(text, what="Shade", why="it is the share of the sun kept off")


def _how_many(text: str) -> int:
    count = parse_number(text, what="How many")
    if count != int(count) or not 1 <= count <= MOST_BINS_AT_ONCE:
        raise OutOfRange(
            worded("{count:g} bins in a row", count=count),
            why=worded(
                "they are made 1 to {most_bins_at_once} at a time",
                most_bins_at_once=MOST_BINS_AT_ONCE,
            ),
            instead="Write how many stand there alike, such as 3",
        )
    return int(count)


def read_container(form: Filled, state: GardenState) -> tuple[str, float] | None:
    """Return an own container's name and volume, None when something is wrong."""
    system = UnitSystem(state.settings.units)
    name = form.need("own_name", "Its name", _name("Its name"), "such as green tub")
    volume = form.need(
        "own_volume",
        "Its volume",
        lambda text: within(
            "container_volume_m3",
            "Volume",
            parse_volume_m3(text, system),
            lambda m3: format_volume(m3, system),
        ),
        "it such as 40 L or 10 gal",
    )
    return None if name is None or volume is None else (name, volume)
