"""How fast the heap model is, in one run: kernel, plain NumPy twin, ensembles, finer grids.

Run from the repository's root as `python benchmarks/bench_heap.py`. Prints times and ratios of
this machine, at this moment; other work on the machine shows in them. The first call compiles.
"""

from __future__ import annotations

import os
import platform
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from heapwright.heap.parameters import load_parameters, sample_parameters
from heapwright.heap.simulate import simulate, simulate_ensemble
from heapwright.heap.state import build_state
from heapwright.heap.stretches import weather_table
from tests.laws.heap_courses import PALLET_BIN, fill, weather
from tests.twins.plain_heap import PlainHeap

TWIN_HOURS = 48
CELLS = 60


def best_of(times: int, work: Callable[[], object]) -> float:
    """Return the shortest of several timings, the one least disturbed. [s]"""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken)


def one_member(days: int, radii: int = 6, heights: int = 10) -> Callable[[], object]:
    """Return the run of one member on one core."""
    rows = load_parameters().to_array()[None, :]
    air = weather(days, 20.0)
    return lambda: simulate_ensemble(
        PALLET_BIN, fill(1.0), air, (), rows, probe_depth_m=0.5, threads=1, radii=radii,
        heights=heights,
    )  # fmt: skip


def ensemble(members: int, days: int, threads: int) -> Callable[[], object]:
    """Return the run of many members, each with its own parameters."""
    rows = sample_parameters(members, np.random.default_rng(0))
    air = weather(days, 20.0)
    return lambda: simulate_ensemble(
        PALLET_BIN, fill(1.0), air, (), rows, probe_depth_m=0.5, threads=threads
    )


def plain_twin() -> Callable[[], object]:
    """Return the run of the plain twin through `TWIN_HOURS` on the same grid."""
    parameters = load_parameters()
    table = weather_table(weather(2, 20.0), parameters.soil_memory_days)

    def run() -> None:
        twin = PlainHeap(
            build_state(PALLET_BIN, [fill(1.0)], parameters.to_array()[None, :], 20.0, 6, 10)
        )
        for hour in range(TWIN_HOURS):
            twin.hour(hour, table[hour])

    return run


def main() -> None:
    """Print the table."""
    print(f"{platform.processor() or platform.machine()}, {os.cpu_count()} cores, "
          f"Python {platform.python_version()}, load {os.getloadavg()[0]:.1f}")  # fmt: skip
    first = best_of(1, one_member(1))
    sixty = best_of(20, one_member(60))
    thirty = best_of(20, one_member(30))
    recorded = best_of(10, lambda: simulate(PALLET_BIN, fill(1.0), weather(60, 20.0)))
    finer = best_of(5, one_member(30, 12, 20))
    single = best_of(3, ensemble(200, 30, 1))
    double = best_of(5, ensemble(200, 30, 2))
    plain = best_of(1, plain_twin()) / TWIN_HOURS
    per_hour = sixty / (60 * 24)
    for name, value in (
        ("first call in this process (compiling or loading)", f"{first:8.2f} s"),
        ("one member, 60 days, one core", f"{1e3 * sixty:8.2f} ms"),
        ("the same with every cell kept", f"{1e3 * recorded:8.2f} ms"),
        ("per cell and hour", f"{1e9 * per_hour / CELLS:8.1f} ns"),
        ("60 days against 30 days", f"{sixty / thirty:8.2f} x"),
        ("12 x 20 cells against 6 x 10, per cell", f"{finer / thirty / 4:8.2f} x"),
        ("200 members, 30 days, one thread", f"{single:8.2f} s"),
        ("200 members, 30 days, two threads", f"{double:8.2f} s"),
        ("two threads against one", f"{single / double:8.2f} x"),
        ("plain NumPy twin against the kernel, per hour", f"{plain / per_hour:8.0f} x"),
    ):
        print(f"{name:52s}{value}")


if __name__ == "__main__":
    main()
