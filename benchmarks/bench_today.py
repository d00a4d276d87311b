"""How long Today takes for three bins with 30 days of readings each, cold and warm.

`python -m benchmarks.bench_today` prints wall and processor seconds. Cold is a garden just opened,
with the program loaded and compiled; warm is the same garden asked again. Nothing is asserted.
"""

from __future__ import annotations

import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from heapwright.journal.entries import EntryKind
from heapwright.workshop import build, setup, stock
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log
from heapwright.workshop.today import today

NOW = datetime(2026, 6, 10, 15, tzinfo=UTC)
DAYS, ROUNDS = 30, 3
BINS = ("left", "middle", "right")


def fill(garden: Garden) -> None:
    """Write three invented heaps with a reading a day."""
    setup.settings(garden, origin="demo", name="Three bins", climate="tucson")
    for name in BINS:
        setup.save_bin(
            garden, name=name, origin="demo", width_m=0.92, depth_m=0.92, height_m=0.92, shade=0.5
        )
    rng = np.random.default_rng(0)
    for name in BINS:
        _heap(garden, name, rng)
    at = NOW - timedelta(days=1)
    stock.add_lot(garden, material="leaves", container="pail", count=5, at=at, origin="demo")


def _heap(garden: Garden, name: str, rng: np.random.Generator) -> None:
    at = NOW - timedelta(days=DAYS + 1)
    bag, pail = "39 gal leaf bag", "pail"
    stock.add_lot(garden, material="leaves", container=bag, count=5, at=at, origin="demo")
    stock.add_lot(garden, material="grass", container=pail, count=8, at=at, origin="demo")
    counts = {lot.key: float(lot.left) for lot in garden.state().lots.values() if lot.left > 0}
    build.record_build(garden, name, counts, 45.0, f"Heap {name}", at=at, origin="demo")
    for day in range(1, DAYS + 1):
        read_c = 15.0 + 60.0 * float(np.exp(-day / 25.0)) + float(rng.normal(0.0, 2.0))
        body = {"bin": name, "temperature_c": read_c, "depth_m": 0.45}
        log(garden, EntryKind.READING, body, at=at + timedelta(days=day, hours=1), origin="demo")


def timed(garden: Garden) -> tuple[float, float]:
    """Return wall and processor seconds of one Today."""
    wall, processor = time.perf_counter(), time.process_time()
    today(garden)
    return time.perf_counter() - wall, time.process_time() - processor


def main() -> None:
    """Print cold and warm times of some rounds; the first, which compiles, is not printed."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "three.heapwright"
        with Garden.open(path, lambda: NOW) as garden:
            fill(garden)
        for number in range(ROUNDS + 1):
            with Garden.open(path, lambda: NOW) as garden:
                cold, warm = timed(garden), timed(garden)
            if number:
                print(f"cold {cold[0]:.2f} s ({cold[1]:.2f} s of processor), warm {warm[0]:.3f} s")


if __name__ == "__main__":
    main()
