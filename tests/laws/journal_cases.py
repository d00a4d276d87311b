"""Journals for the tests: a garden in words, and random ones. Invented; no real garden."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

from heapwright.journal.bodies import checked_entry
from heapwright.journal.entries import Entry, EntryKind

START = datetime(2026, 4, 1, 9, 0, tzinfo=UTC)
FILL = {
    "wet_mass_kg": 380.0,
    "moisture": 0.57,
    "volume_m3": 0.8,
    "ash_dry": 0.12,
    "fast_share": 0.25,
    "medium_share": 0.35,
    "c_to_n": 29.0,
}


class Writer:
    """Writes entries one after another, with ids and times that are the same in every run."""

    def __init__(self, start: datetime = START) -> None:
        self.start = start
        self.entries: list[Entry] = []

    def write(
        self, kind: str, body: Mapping[str, Any], *, day: float = 0.0, written: float | None = None
    ) -> Entry:
        """Add an entry `day` days after the start, written `written` (else as it happened)."""
        at = self.start + timedelta(days=day)
        written_at = at if written is None else self.start + timedelta(days=written)
        number = len(self.entries) + 1
        entry = checked_entry(Entry(f"{number:032x}", EntryKind(kind), at, body, written_at))
        self.entries.append(entry)
        return entry


def a_row_of_bins(*names: str) -> Writer:
    """Return a writer that has made bins with these keys, the first one on the left."""
    writer = Writer()
    for order, name in enumerate(names):
        body = {"key": name, "name": f"Bin {name}", "order": order}
        writer.write("bin", body | {"width_m": 1.0, "depth_m": 1.0, "height_m": 1.0})
    return writer


def a_lot(key: str, count: int = 10) -> dict[str, Any]:
    """Return the body of a lot of leaf bags."""
    return {
        "key": key,
        "material_key": "leaves",
        "container_name": "leaf bag",
        "container_volume_m3": 0.11,
        "count": count,
    }
