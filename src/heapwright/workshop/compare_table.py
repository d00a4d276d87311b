"""The comparison as a table for a spreadsheet, in SI units.

Knows the columns. Knows nothing of how the numbers come about.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

from heapwright.advice.types import Interval
from heapwright.season.between import Between
from heapwright.workshop.compare_answer import Comparison, HeapCompared

_SIGNS_OF_FORMULAS = ("=", "+", "-", "@", "＝", "＋", "－", "＠", "\t", "\r", "\n")
_HEADINGS = (
    *("heap", "built (UTC)", "ended (UTC)", "stage"),
    *("C:N low", "C:N likely", "C:N high"),
    *("moisture low", "moisture likely", "moisture high"),
    *("volume low (m3)", "volume likely (m3)", "volume high (m3)", "bin (m3)"),
    *("turns", "turns in first fortnight", "times watered", "water (kg)"),
    *("water in first fortnight (kg)", "mean air (C)", "rain (mm)", "air of first fortnight (C)"),
    *("own weather (share)", "hottest reading (C)"),
    *("days to 55 C, more than", "days to 55 C, at most"),
    *("days read at 55 C", "days read"),
    *("days hot low", "days hot likely", "days hot high", "days covered"),
    *("days to curing", "days to finished, more than", "days to finished, at most", "finished by"),
    *("yield (m3)", "yield (share)", "barrow loads"),
)


def comparison_csv(answer: Comparison) -> str:
    """Return one row a heap; an empty cell is not known, an empty "at most" has no end yet.

    Text that a spreadsheet would take for a formula gets an apostrophe in front.
    """
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\r\n")
    table.writerow(_HEADINGS)
    for heap in answer.heaps:
        table.writerow([_cell(value) for value in _values(heap)])
    return out.getvalue()


def _cell(value: str | float | None) -> str:
    if value is None:
        return ""
    if isinstance(value, str):
        return f"'{value}" if value.startswith(_SIGNS_OF_FORMULAS) else value
    return f"{value:.5g}"


def _values(heap: HeapCompared) -> Iterator[str | float | None]:
    yield heap.name
    yield f"{heap.built_at:%Y-%m-%dT%H:%M:%SZ}"
    yield f"{heap.until:%Y-%m-%dT%H:%M:%SZ}" if heap.is_over else None
    yield heap.stage
    yield from _three(heap.c_to_n)
    yield from _three(heap.moisture)
    yield from _three(heap.volume_m3)
    yield heap.bin_volume_m3
    yield from (heap.turns, heap.early_turns, heap.wettings, heap.water_kg, heap.early_water_kg)
    stood = heap.weather
    yield None if stood is None else stood.mean_air_c
    yield None if stood is None else stood.rain_mm
    yield None if stood is None else stood.early_air_c
    yield None if stood is None else stood.seen_share
    yield heap.hottest_c
    yield from _two(heap.days_to_hot)
    yield from (heap.hot.days_seen, heap.hot.days_read)
    yield from _three(heap.hot.estimated_days)
    yield heap.hot.covered_days
    yield heap.cured_after_days
    yield from _two(heap.days_to_finished)
    yield None if heap.finished_by is None else str(heap.finished_by)
    yield from (heap.yield_m3, heap.yield_share, heap.barrow_loads)


def _three(told: Interval | None) -> tuple[float | None, float | None, float | None]:
    return (None, None, None) if told is None else (told.low, told.likely, told.high)


def _two(told: Between | None) -> tuple[float | None, float | None]:
    return (None, None) if told is None else (told.low, told.high)
