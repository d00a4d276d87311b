"""Takes from a finished run the numbers that people have measured on heaps.

Knows what each quantity means, its unit and the tolerance allowed. Knows nothing of cases' words
or of passing and failing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from heapwright.heap.layout import (
    CORE_HALF_HEIGHT,
    CORE_RADIUS,
    level_edges,
    middles,
    ring_edges,
)
from heapwright.heap.probe import probe_temperature
from heapwright.heap.types import FloatArray, HeapRun
from heapwright.validation.types import CaseRun

_DAY = 24
#: "Hot" of the trade's rules, and of the tolerances printed with the collection of cases.
HOT_C = 55.0
#: Tolerances of that collection: a day, 6 degrees, 35 % of the days, 10 points of a loss.
_DAYS, _DEGREES, _OF_DAYS, _POINTS = 1.0, 6.0, 0.35, 0.10

Places = Mapping[str, float]
Measure = Callable[[CaseRun, HeapRun, Places], float]


@dataclass(frozen=True, slots=True)
class Quantity:
    """Something measured on a heap: its words, its unit and how to take it from a run."""

    words: str
    unit: str
    measure: Measure


def probe_readings(told: CaseRun, run: HeapRun) -> FloatArray:
    """Return what the thermometer would have read, hour by hour, shape (hours+1,). [°C]"""
    if told.probe.depth_m is None:
        middle = run.temperature_c.shape[2] // 2
        return np.asarray(run.temperature_c[:, 0, middle - 1 : middle + 1].mean(axis=1))
    return probe_temperature(run, told.probe.depth_m, told.probe.radius_fraction)


def usual_tolerance(quantity: str, low: float, high: float) -> float:
    """Return the tolerance printed with the collection for a quantity, in its unit."""
    unit = QUANTITIES[quantity].unit if quantity in QUANTITIES else ""
    if quantity == "days_above":
        return _OF_DAYS * 0.5 * (low + high)
    usual = {"days": _DAYS, "°C": _DEGREES, "of all": _POINTS}
    return usual.get(unit, 0.0)


def _span(at: Places, run: HeapRun) -> slice:
    first = round(_DAY * at.get("from_day", 0.0))
    last = round(_DAY * at.get("to_day", run.hours / _DAY))
    return slice(first, last + 1)


def _hour(at: Places, run: HeapRun) -> int:
    return round(_DAY * at.get("day", run.hours / _DAY))


def _days_to(told: CaseRun, run: HeapRun, at: Places) -> float:
    hot = np.flatnonzero(probe_readings(told, run) >= at.get("limit_c", HOT_C))
    return float(hot[0]) / _DAY if hot.size else float("inf")


def _days_above(told: CaseRun, run: HeapRun, at: Places) -> float:
    readings = probe_readings(told, run)[_span(at, run)]
    return float(np.count_nonzero(readings >= at.get("limit_c", HOT_C))) / _DAY


def _peak(told: CaseRun, run: HeapRun, at: Places) -> float:
    return float(probe_readings(told, run)[_span(at, run)].max())


def _peak_day(told: CaseRun, run: HeapRun, at: Places) -> float:
    first = round(_DAY * at.get("from_day", 0.0))
    return (first + int(np.argmax(probe_readings(told, run)[_span(at, run)]))) / _DAY


def _temperature(told: CaseRun, run: HeapRun, at: Places) -> float:
    return float(probe_readings(told, run)[_hour(at, run)])


def _mean(told: CaseRun, run: HeapRun, at: Places) -> float:
    return float(probe_readings(told, run)[_span(at, run)].mean())


def _rise(told: CaseRun, run: HeapRun, at: Places) -> float:
    readings = probe_readings(told, run)
    return float(readings[round(_DAY * at["to_day"])] - readings[round(_DAY * at["from_day"])])


def _top_above_core(told: CaseRun, run: HeapRun, at: Places) -> float:
    top = probe_temperature(run, at["depth_m"])
    hour = _hour(at, run)
    return float(top[hour] - probe_readings(told, run)[hour])


def _moisture(told: CaseRun, run: HeapRun, at: Places) -> float:
    hour = _hour(at, run)
    water, dry = run.water_kg[hour], run.dry_mass_kg[hour]
    return float(water / (water + dry))


def _core(field: FloatArray) -> FloatArray:
    """Return the inner half of the radius in the middle two fifths of the height."""
    radii, heights = field.shape[-2:]
    level = middles(level_edges(heights))
    inner = max(int((middles(ring_edges(radii)) <= CORE_RADIUS).sum()), 1)
    return field[..., :inner, np.abs(level - 0.5) <= CORE_HALF_HEIGHT]


def _core_moisture(told: CaseRun, run: HeapRun, at: Places) -> float:
    return float(_core(run.moisture[_hour(at, run)]).mean())


def _crust_moisture(told: CaseRun, run: HeapRun, at: Places) -> float:
    """Return the moisture from `from_m` to `to_m` below the top, over the whole breadth."""
    hour = _hour(at, run)
    below = run.height_m[hour] * (1.0 - middles(run.level_edges))
    within = (below >= at.get("from_m", 0.0)) & (below <= at["to_m"])
    share = run.cell_share[:, within]
    return float((run.moisture[hour][:, within] * share).sum() / share.sum())


def _core_oxygen(told: CaseRun, run: HeapRun, at: Places) -> float:
    return float(_core(run.oxygen[_span(at, run)]).mean(axis=(1, 2)).mean())


def _least_oxygen(told: CaseRun, run: HeapRun, at: Places) -> float:
    return float(_core(run.oxygen[_span(at, run)]).mean(axis=(1, 2)).min())


def _added(told: CaseRun, hour: int) -> tuple[float, float]:
    """Return the dry mass and the volatile solids put in up to this hour. [kg]"""
    fills = [told.fill] + [
        action.fill for action in told.actions if action.fill is not None and action.hour <= hour
    ]
    dry = [fill.wet_mass_kg * (1.0 - fill.moisture) for fill in fills]
    solids = [kg * (1.0 - fill.ash_dry) for kg, fill in zip(dry, fills, strict=True)]
    return sum(dry), sum(solids)


def _dry_loss(told: CaseRun, run: HeapRun, at: Places) -> float:
    hour = _hour(at, run)
    return 1.0 - float(run.dry_mass_kg[hour]) / _added(told, hour)[0]


def _solids_loss(told: CaseRun, run: HeapRun, at: Places) -> float:
    hour = _hour(at, run)
    return 1.0 - float(run.volatile_solids_kg[hour]) / _added(told, hour)[1]


def _loss_so_far(told: CaseRun, run: HeapRun, at: Places) -> float:
    whole = _solids_loss(told, run, {})
    return _solids_loss(told, run, at) / whole if whole > 0 else float("nan")


def _volume_loss(told: CaseRun, run: HeapRun, at: Places) -> float:
    return 1.0 - float(run.volume_m3[_hour(at, run)] / run.volume_m3[0])


def _share_heated(told: CaseRun, run: HeapRun, at: Places) -> float:
    """Return the share of the heap's places that reached a limit at some time in the span."""
    reached = (run.temperature_c[_span(at, run)] >= at.get("limit_c", HOT_C)).any(axis=0)
    return float((run.cell_share * reached).sum())


QUANTITIES: Mapping[str, Quantity] = {
    "days_to": Quantity("time to 55 °C", "days", _days_to),
    "days_above": Quantity("days at 55 °C or more", "days", _days_above),
    "peak_c": Quantity("peak", "°C", _peak),
    "peak_day": Quantity("time of the peak", "days", _peak_day),
    "temperature_c": Quantity("temperature", "°C", _temperature),
    "mean_c": Quantity("mean temperature", "°C", _mean),
    "rise_c": Quantity("rise", "°C", _rise),
    "top_above_core_c": Quantity("top against core", "°C", _top_above_core),
    "moisture": Quantity("moisture", "of wet mass", _moisture),
    "core_moisture": Quantity("moisture of the core", "of wet mass", _core_moisture),
    "crust_moisture": Quantity("moisture of the crust", "of wet mass", _crust_moisture),
    "core_oxygen": Quantity("oxygen in the core", "by volume", _core_oxygen),
    "least_oxygen": Quantity("least oxygen in the core", "by volume", _least_oxygen),
    "dry_loss": Quantity("loss of dry mass", "of all", _dry_loss),
    "solids_loss": Quantity("loss of volatile solids", "of all", _solids_loss),
    "loss_so_far": Quantity("part of the loss so far", "of all", _loss_so_far),
    "volume_loss": Quantity("loss of volume", "of all", _volume_loss),
    "share_heated": Quantity("share of the heap heated", "of volume", _share_heated),
}
