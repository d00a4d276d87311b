"""Turns a batch's readings and looks into observations that the heap model can be held against.

Knows which entry tells what and how surely. Knows nothing of filters.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from heapwright.fitting.settings import reading_errors
from heapwright.journal.entries import BatchState, Entry, EntryKind
from heapwright.materials.measured import squeeze_moisture
from heapwright.tables import Estimate, parameter_table
from heapwright.workshop.history import settings_table
from heapwright.workshop.probe_series import for_model

if TYPE_CHECKING:
    from heapwright.fitting.observations import Seen

HOUR = timedelta(hours=1)
#: Where a reading was taken: share of the radius, and share of the bin's height as depth when it
#: is not the usual depth.
_PLACES: Mapping[str, tuple[float, float | None]] = {
    "": (0.0, None),
    "core": (0.0, None),
    "edge": (0.85, None),
    "side": (0.95, None),
    "top": (0.0, 0.1),
    "bottom": (0.0, 0.9),
}


def seen_of(
    batch: BatchState, start: datetime, until_hour: int, depth_m: float, bin_height_m: float
) -> tuple[Seen, ...]:
    """Return what was seen of a heap up to an hour, in order of time.

    Parameters
    ----------
    batch : BatchState
        Of what a probe reported, one reading for each window of hours is told.
    start : datetime
        The hour it was built in.
    until_hour : int
        Hours since then; later entries are left out.
    depth_m : float
        Depth of the tip where a reading does not say. [m]
    bin_height_m : float

    """
    seen: list[Seen] = []
    for entry in for_model(batch):
        hour = round((entry.at - start) / HOUR)
        if 0 <= hour <= until_hour:
            seen += _of_entry(entry, hour, depth_m, bin_height_m)
    return tuple(sorted(seen, key=lambda one: one.hour))


def _of_entry(entry: Entry, hour: int, depth_m: float, bin_height_m: float) -> list[Seen]:
    if entry.kind is EntryKind.READING:
        return [_temperature(entry, hour, depth_m, bin_height_m)]
    if entry.kind is EntryKind.LOOK:
        return [*_moistures(entry, hour), *_heights(entry, hour)]
    return []


def _temperature(entry: Entry, hour: int, depth_m: float, bin_height_m: float) -> Seen:
    from heapwright.fitting.observations import TemperatureSeen

    body, errors = entry.body, reading_errors()
    across, down = _PLACES[body.get("where", "")]
    usual = depth_m if down is None else down * bin_height_m
    return TemperatureSeen(
        hour=hour,
        value_c=float(body["temperature_c"]),
        depth_m=float(body.get("depth_m", usual)),
        radius_fraction=across,
        error_sd_c=errors["reading_sd_c" if across == 0.0 and down is None else "edge_sd_c"],
        source_id=entry.id,
    )


def _moistures(entry: Entry, hour: int) -> list[Seen]:
    from heapwright.fitting.observations import MoistureSeen

    body = entry.body
    told: list[tuple[Estimate, float]] = []
    if body.get("squeeze"):
        told.append((squeeze_moisture(body["squeeze"]), settings_table()["squeeze_sd"]))
    table = parameter_table("heapwright.fitting", "data/senses.csv")
    weak = reading_errors()["senses_sd"]
    for sign in (body.get("smell", ""), *body.get("looks", ()), *body.get("pests", ())):
        if sign in table:
            told.append((table[sign], weak))
    return [MoistureSeen(hour, one.low, one.high, sd, entry.id) for one, sd in told]


def _heights(entry: Entry, hour: int) -> list[Seen]:
    from heapwright.fitting.observations import HeightSeen

    level = entry.body.get("level_m")
    if level is None:
        return []
    return [HeightSeen(hour, float(level), reading_errors()["level_sd_m"], entry.id)]
