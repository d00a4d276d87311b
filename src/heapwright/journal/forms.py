"""What the body of each kind of entry holds: the fields, their SI units and limits.

Knows the fields one by one. Knows nothing of what they may hold together (`bodies.py`) or of what
other entries say: whether a bin exists or a lot is used up is the fold's business.

| kind | fields (? may be left out) |
|---|---|
| garden | any field of GardenSettings; only what changes |
| container | key, name, volume_m3 |
| bin | key, name, width_m, depth_m, height_m, wall?, ground?, cover?, shade?, order? |
| bin_gone | bin, why? |
| probe | key, name, bin, depth_m, where? |
| probe_gone | probe, why? |
| lot | key, material_key, container_name, container_volume_m3, count, |
| | fullness?, packing?, keep_back?, measured? |
| lot_gone | lot, count, why? |
| build | batch, name, bin, water_kg?, cover?, note?, and lines [{lot, count}] or fill {...} |
| reading | bin, temperature_c, depth_m?, where?, probe?, note? |
| look | bin and at least one of squeeze, smell, pests, looks, level_m, note |
| turn | bin, how ("stir" or "move"), to_bin (when moved), onto?, water_kg?, note? |
| wet | bin, water_kg, note? |
| add | bin, lines, water_kg?, note? |
| cover | bin, cover |
| cure | bin, note? |
| test | bin, procedure, and what that test tells (`finish_forms.FIELDS`), note? |
| screen | bin, through_m3?, mesh_m?, of the leftovers lot, container_name, |
| | container_volume_m3, count, or none of them, note? |
| use | bin, volume_m3 or all or both, where?, bed?, store?, note? |
| spread | bed, volume_m3, what, note? |
| site, wishes | any of their fields (`forms_year`); only what changes |
| bed | key, name, use, area_m2 or volume_m3, due, and what else `forms_year` lists |
| arrival | key, material_key, volume_m3_week, from_day, to_day, packing?, keeps_days?, |
| | container_name?, container_volume_m3? |
| away | key, from_date, to_date, why? |
| bed_gone, arrival_gone, away_gone | bed, arrival or away, why? |
| note | text, bin? |
| photo | bin, sha256 (of the file, kept beside the entries), width, height, caption? |
| undo | of |
| correct | of, and body or at or both; the body replaces the whole old body |
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from heapwright.errors import NotUnderstood, OutOfRange
from heapwright.heap.types import Cover, Ground, Wall
from heapwright.journal import fields, forms_year
from heapwright.journal.body_form import Field, need, read_fields
from heapwright.journal.entries import EntryKind
from heapwright.journal.fields import shown
from heapwright.journal.finish_forms import SCREEN_FORM, TEST_FORM
from heapwright.materials.types import Packing
from heapwright.wording import languages, worded

SQUEEZES = ("dusty", "dry", "drops", "dripping")
SMELLS = ("earthy", "rotten egg", "sour", "ammonia")
PESTS = ("flies", "rats", "ants", "mice", "raccoons")
LOOKS = (
    "matted",
    "white threads",
    "ashy",
    "dry outside",
    "warm middle only",
    "big pieces",
    "packed",
    "puddle",
    "scraps open",
    "meat",
    "weeds",
    "stunted",
    "cupped leaves",
    "smoking",
)
PLACES = ("core", "edge", "top", "bottom", "side")
TURNS = ("stir", "move")
UNITS = ("us", "metric")
ORIGINS = ("page", "command", "import", "demo", "probe")

#: What a person may measure of their own lot, with the row of `limits.csv` that bounds it.
MEASURABLE: Mapping[str, str] = {
    "moisture": "moisture",
    "nitrogen_dry": "nitrogen_dry",
    "carbon_dry": "carbon_dry",
    "ash_dry": "share",
    "fast_share": "share",
    "medium_share": "share",
    "bulk_density_kg_m3": "bulk_density_kg_m3",
    "container_mass_kg": "container_mass_kg",
    "keeps_days": "keeps_days",
}


_LINE = {
    "lot": need("Lot", fields.key),
    "count": need("Containers", fields.number("line_count", above_low=True)),
}
_FILL = {
    "wet_mass_kg": need("Wet mass", fields.number("wet_mass_kg")),
    "moisture": need("Moisture", fields.number("moisture")),
    "volume_m3": need("Volume", fields.number("heap_volume_m3")),
    "ash_dry": need("Ash", fields.number("share")),
    "fast_share": need("Fast share", fields.number("share")),
    "medium_share": need("Medium share", fields.number("share")),
    "c_to_n": need("C:N", fields.number("c_to_n")),
    "temperature_c": Field("Temperature", fields.or_nothing(fields.number("temperature_c"))),
}
_MEASURED = {
    name: Field(f"Measured {name}", fields.spread(limit_id))
    for name, limit_id in MEASURABLE.items()
}


def _lines(label: str, value: Any) -> list[dict[str, Any]]:
    if not isinstance(value, list | tuple) or not value:
        raise NotUnderstood(
            worded("{label}: no material is named", label=label), instead="Name at least one lot"
        )
    lines = [read_fields("A line of material", _LINE, line) for line in value]
    lots = [line["lot"] for line in lines]
    twice = next((lot for lot in lots if lots.count(lot) > 1), None)
    if twice is not None:
        raise NotUnderstood(
            worded("{label}: lot {twice} is named twice", label=label, twice=shown(twice)),
            instead="Add them up",
        )
    return lines


def _fill(label: str, value: Any) -> dict[str, Any]:
    fill = read_fields(label, _FILL, value)
    density = fill["wet_mass_kg"] / fill["volume_m3"]
    fields.number("heap_density_kg_m3")(
        worded("{label}: wet mass per volume", label=label), density
    )
    if fill["fast_share"] + fill["medium_share"] > 1:
        raise OutOfRange(
            worded("{label}: the fast and the medium share are more than the whole", label=label)
        )
    return fill


def _measured(label: str, value: Any) -> dict[str, Any]:
    return read_fields(label, _MEASURED, value)


def _anything(label: str, value: Any) -> dict[str, Any]:
    """Read a correction's new body: what it may hold depends on the entry it corrects."""
    if not isinstance(value, Mapping):
        raise NotUnderstood(
            worded("{label} {shown} is not a set of named fields", label=label, shown=shown(value))
        )
    return dict(value)


_NAME = need("Name", fields.text(fields.NAME_LENGTH))
_KEY = need("Key", fields.key)
_BIN = need("Bin", fields.key)
_NOTE = Field("Note", fields.text())
_WATER = Field("Water", fields.number("water_kg"))
_COVER = Field("Cover", fields.choice(Cover))

FORMS: Mapping[EntryKind, Mapping[str, Field]] = {
    EntryKind.GARDEN: {
        "name": Field("Name", fields.text(fields.NAME_LENGTH)),
        "is_demo": Field("Demo", fields.flag),
        "climate": Field("Climate", lambda label, v: "" if v == "" else fields.key(label, v)),
        "units": Field("Units", fields.choice(UNITS)),
        "language": Field("Language", fields.choice(("", *languages()))),
        "time_zone": Field("Time zone", fields.zone),
        "hose_kg_s": Field("Hose", fields.or_nothing(fields.number("hose_kg_s", above_low=True))),
        "probe_depth_m": Field("Probe depth", fields.number("probe_depth_m")),
        "online_weather": Field("Online weather", fields.flag),
        "latitude": Field("Latitude", fields.or_nothing(fields.number("latitude"))),
        "longitude": Field("Longitude", fields.or_nothing(fields.number("longitude"))),
    },
    EntryKind.CONTAINER: {
        "key": _KEY,
        "name": _NAME,
        "volume_m3": need("Volume", fields.number("container_volume_m3")),
    },
    EntryKind.BIN: {
        "key": _KEY,
        "name": _NAME,
        "width_m": need("Width", fields.number("bin_side_m")),
        "depth_m": need("Depth", fields.number("bin_side_m")),
        "height_m": need("Height", fields.number("bin_side_m")),
        "wall": Field("Wall", fields.choice(Wall)),
        "ground": Field("Ground", fields.choice(Ground)),
        "cover": _COVER,
        "shade": Field("Shade", fields.number("shade")),
        "order": Field("Order", fields.number("bin_order", whole=True)),
    },
    EntryKind.BIN_GONE: {"bin": _BIN, "why": Field("Why", fields.text())},
    EntryKind.PROBE: {
        "key": _KEY,
        "name": _NAME,
        "bin": _BIN,
        "depth_m": need("Depth", fields.number("probe_depth_m")),
        "where": Field("Where", fields.choice(PLACES)),
    },
    EntryKind.PROBE_GONE: {"probe": need("Probe", fields.key), "why": Field("Why", fields.text())},
    EntryKind.LOT: {
        "key": _KEY,
        "material_key": need("Material", fields.key),
        "container_name": need("Container", fields.text(fields.NAME_LENGTH)),
        "container_volume_m3": need("Container volume", fields.number("container_volume_m3")),
        "count": need("Containers", fields.number("container_count", whole=True)),
        "fullness": Field("Fullness", fields.spread("fullness", above_low=True)),
        "packing": Field("Packing", fields.choice(Packing)),
        "keep_back": Field("Keep back", fields.number("container_count", whole=True)),
        "measured": Field("Measured values", _measured),
    },
    EntryKind.LOT_GONE: {
        "lot": need("Lot", fields.key),
        "count": need("Containers", fields.number("line_count", above_low=True)),
        "why": Field("Why", fields.text()),
    },
    EntryKind.BUILD: {
        "batch": need("Batch", fields.key),
        "name": _NAME,
        "bin": _BIN,
        "lines": Field("Materials", _lines),
        "fill": Field("A heap that was there before", _fill),
        "water_kg": _WATER,
        "cover": _COVER,
        "note": _NOTE,
    },
    EntryKind.READING: {
        "bin": _BIN,
        "temperature_c": need("Temperature", fields.number("temperature_c")),
        "depth_m": Field("Depth", fields.number("probe_depth_m")),
        "where": Field("Where", fields.choice(PLACES)),
        "probe": Field("Probe", fields.text(fields.NAME_LENGTH)),
        "note": _NOTE,
    },
    EntryKind.LOOK: {
        "bin": _BIN,
        "squeeze": Field("Squeeze", fields.choice(SQUEEZES)),
        "smell": Field("Smell", fields.choice(SMELLS)),
        "pests": Field("Pests", fields.several(fields.choice(PESTS))),
        "looks": Field("Looks", fields.several(fields.choice(LOOKS))),
        "level_m": Field("Level", fields.number("level_m")),
        "note": _NOTE,
    },
    EntryKind.TURN: {
        "bin": _BIN,
        "how": need("How", fields.choice(TURNS)),
        "to_bin": Field("Bin moved to", fields.key),
        "onto": Field("Onto the heap there", fields.flag),
        "water_kg": _WATER,
        "cover": _COVER,
        "note": _NOTE,
    },
    EntryKind.WET: {
        "bin": _BIN,
        "water_kg": need("Water", fields.number("water_kg")),
        "note": _NOTE,
    },
    EntryKind.ADD: {
        "bin": _BIN,
        "lines": need("Materials", _lines),
        "water_kg": _WATER,
        "cover": _COVER,
        "note": _NOTE,
    },
    EntryKind.COVER: {"bin": _BIN, "cover": need("Cover", fields.choice(Cover))},
    EntryKind.CURE: {"bin": _BIN, "note": _NOTE},
    EntryKind.TEST: TEST_FORM,
    EntryKind.SCREEN: SCREEN_FORM,
    EntryKind.USE: {
        "bin": _BIN,
        "volume_m3": Field("Amount", fields.number("used_m3")),
        "all": Field("All of it", fields.flag),
        "where": Field("Where", fields.text()),
        "bed": Field("Bed", fields.key),
        "store": Field("Put by", fields.flag),
        "note": _NOTE,
    },
    EntryKind.PHOTO: {
        "bin": _BIN,
        "sha256": need("Photo", fields.sha256),
        "width": need("Width", fields.number("photo_px", whole=True)),
        "height": need("Height", fields.number("photo_px", whole=True)),
        "caption": Field("Caption", fields.text()),
    },
    EntryKind.NOTE: {"text": need("Note", fields.text()), "bin": Field("Bin", fields.key)},
    EntryKind.SPREAD: forms_year.SPREAD_FORM,
    EntryKind.SITE: forms_year.SITE_FORM,
    EntryKind.BED: forms_year.BED_FORM,
    EntryKind.BED_GONE: forms_year.BED_GONE_FORM,
    EntryKind.ARRIVAL: forms_year.ARRIVAL_FORM,
    EntryKind.ARRIVAL_GONE: forms_year.ARRIVAL_GONE_FORM,
    EntryKind.AWAY: forms_year.AWAY_FORM,
    EntryKind.AWAY_GONE: forms_year.AWAY_GONE_FORM,
    EntryKind.WISHES: forms_year.WISHES_FORM,
    EntryKind.UNDO: {"of": need("Entry taken back", fields.entry_id)},
    EntryKind.CORRECT: {
        "of": need("Entry corrected", fields.entry_id),
        "body": Field("New body", _anything),
        "at": Field("New time", fields.moment),
    },
}
