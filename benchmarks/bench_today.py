"""Times Today for three bins with thirty days of readings each: first look, second, one reading on.

Run `python -m benchmarks.bench_today`. Prints seconds, and each as a ratio to the first look, so
that two machines can be compared. "Cold" is a garden opened anew in a program that runs already,
with nothing remembered; the kernel is compiled. Knows nothing of what is right: tests do.
"""

from __future__ import annotations

import statistics
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from heapwright.journal.entries import Entry, EntryKind, new_entry_id
from heapwright.workshop import setup
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log_many
from heapwright.workshop.today import today

NOW = datetime(2026, 6, 10, 15, 0, tzinfo=UTC)
BINS = ("left", "middle", "right")
DAYS, REPEATS = 30, 5
FILL = {
    "wet_mass_kg": 330.0,
    "moisture": 0.56,
    "volume_m3": 0.8,
    "ash_dry": 0.12,
    "fast_share": 0.18,
    "medium_share": 0.4,
    "c_to_n": 28.0,
}


def _entry(kind: EntryKind, days_ago: float, body: dict[str, object]) -> Entry:
    at = NOW - timedelta(days=days_ago)
    return Entry(new_entry_id(), kind, at, body, at, origin="command")


def fill_garden(path: Path) -> None:
    """Build three heaps thirty days ago, read each every day, turn two of them."""
    rng = np.random.default_rng(1)
    with Garden.open(path, lambda: NOW) as garden:
        setup.settings(garden, origin="command", climate="tucson")
        for name in BINS:
            setup.save_bin(
                garden, name=name, origin="command", width_m=0.95, depth_m=0.95, height_m=0.95
            )
        entries = []
        for i, name in enumerate(BINS):
            fill = {**FILL, "moisture": 0.52 + 0.04 * i}
            body = {"batch": name, "name": f"Heap {i}", "bin": name, "fill": fill}
            entries.append(_entry(EntryKind.BUILD, DAYS + 0.01 * i, body))
            for day in range(1, DAYS + 1):
                heat = 38.0 * np.exp(-day / 9.0) * (1.0 - np.exp(-day / 0.7))
                value = round(float(24.0 + heat + rng.normal(0.0, 1.5)), 1)
                body = {"bin": name, "temperature_c": value}
                entries.append(_entry(EntryKind.READING, DAYS - day + 0.1, body))
            if i:
                body = {"bin": name, "how": "stir", "water_kg": 10.0, "cover": "brown cap"}
                entries.append(_entry(EntryKind.TURN, DAYS / 2, body))
        log_many(garden, sorted(entries, key=lambda one: one.at))


def timed(work: Callable[[], object]) -> float:
    """Return the seconds it took."""
    started = time.perf_counter()
    work()
    return time.perf_counter() - started


def main() -> None:
    """Print the table."""
    cold, warm, one_more = [], [], []
    with tempfile.TemporaryDirectory() as folder:
        for repeat in range(REPEATS + 1):
            path = Path(folder) / f"{repeat}.heapwright"
            fill_garden(path)
            with Garden.open(path, lambda: NOW) as garden:
                times = [timed(lambda: today(garden)), timed(lambda: today(garden))]
                log_many(
                    garden,
                    [_entry(EntryKind.READING, 0.0, {"bin": "left", "temperature_c": 26.0})],
                )
                times.append(timed(lambda: today(garden)))
            if repeat:  # the first one loads the compiled kernel
                for kept, seconds in zip((cold, warm, one_more), times, strict=True):
                    kept.append(seconds)
    base = statistics.median(cold)
    print(f"Today, {len(BINS)} bins with {DAYS} days of readings each, {REPEATS} gardens")
    for name, kept in (("cold", cold), ("warm", warm), ("one reading more", one_more)):
        middle = statistics.median(kept)
        print(f"{name:18} {middle:7.3f} s  best {min(kept):7.3f} s  {middle / base:6.3f} x cold")


if __name__ == "__main__":
    main()
