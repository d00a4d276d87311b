"""How fast heaps side by side are answered: twelve invented heaps that are used up, cold and warm.

Run from the repository's root as `python benchmarks/bench_compare.py`. Cold is with nothing
remembered but the program loaded, as after a new entry; times are of the clock and, beside it, of
the processor, so that other work on the machine shows.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from starlette.testclient import TestClient

from heapwright.web.app import create_app
from heapwright.workshop import setup
from heapwright.workshop.garden import Garden
from tests.workshop.heaps_compared import a_finished_heap

HEAPS, ROUNDS = 12, 7
NOW = datetime(2026, 6, 10, 15, 0, tzinfo=UTC)


def main() -> None:
    """Print the table."""
    with (
        tempfile.TemporaryDirectory() as folder,
        Garden.open(Path(folder) / "garden.heapwright", lambda: NOW) as garden,
        TestClient(create_app(garden), base_url="http://localhost") as browser,
    ):
        fill(garden)

        def ask() -> None:
            assert browser.get("/compare").status_code == 200

        ask()  # loads the program
        show("page, cold", ask, garden._memory.clear)
        show("page, warm", ask, lambda: None)


def fill(garden: Garden) -> None:
    """Put the heaps into an empty garden."""
    setup.settings(garden, origin="page", name="Invented garden", climate="tucson")
    for name in ("Left", "Right"):
        setup.save_bin(garden, name=name, origin="page", width_m=0.92, depth_m=0.92, height_m=0.92)
    for number in range(HEAPS):
        slow = (0.0, 3.0, 1.0, 5.0, 2.0, 4.0)[number % 6]
        a_finished_heap(garden, number, days_ago=80.0 * (HEAPS - number), slow=slow)


def show(name: str, ask: Callable[[], None], before: Callable[[], None]) -> None:
    """Print the middle and the worst of some rounds."""
    clock, processor = [], []
    for _ in range(ROUNDS):
        before()
        since, used = time.perf_counter(), time.process_time()
        ask()
        clock.append(time.perf_counter() - since)
        processor.append(time.process_time() - used)
    print(
        f"{name:12} {statistics.median(clock):6.3f} s, worst {max(clock):6.3f} s; "
        f"processor {statistics.median(processor):6.3f} s"
    )


if __name__ == "__main__":
    main()
