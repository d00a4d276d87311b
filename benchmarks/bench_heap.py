"""How fast the heap model is, in one run: kernel, a loop in C, SciPy, NumPy, ensembles, grids.

Run from the repository's root as `python benchmarks/bench_heap.py`; it takes some minutes. Times
of one core are the processor's for that work alone, the shortest of rounds taken in turn, so that
other work on the machine hits all alike. The first call compiles. No ratio to the loop in C is
printed where the two do not agree.
"""

from __future__ import annotations

import os
import platform
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import numba
import numpy as np
import scipy

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from benchmarks.heap_cases import CASES, USUAL, Case
from benchmarks.heap_in_c.calling import (
    FLAGS,
    LoopInC,
    empty_trace,
    find_compiler,
    version_of,
)
from benchmarks.heap_solver import (
    FREE,
    HELD,
    HOURS,
    Setting,
    cheapest_as_good,
    kernel_temperatures,
    root_mean_square,
    solve,
    try_settings,
)
from heapwright.heap.kernel import run_hours_usual
from heapwright.heap.parameters import sample_parameters
from heapwright.heap.simulate import simulate, simulate_ensemble
from heapwright.heap.state import HeapState
from heapwright.heap.types import FloatArray
from tests.twins.plain_heap import PlainHeap

DAYS = 60
ROUNDS = 40
CELLS = 60
PROBE = np.array([0.5, 0.0])
#: Kernel and loop must agree to this in every number of their traces and every cell.
AGREE_SHARE = 1e-6


def show(name: str, value: str) -> None:
    """Print one row of the table."""
    print(f"{name:58s}{value}", flush=True)


def shortest(
    works: Sequence[Callable[[], object]], rounds: int, clock: Callable[[], float]
) -> list[list[float]]:
    """Return the times of several pieces of work, taken in turn, each sorted. [s]"""
    taken: list[list[float]] = [[] for _ in works]
    for _ in range(rounds):
        for place, work in enumerate(works):
            start = clock()
            work()
            taken[place].append(clock() - start)
    return [sorted(times) for times in taken]


class Bench:
    """One heap that is set back to its first hour before every run."""

    def __init__(self, case: Case, days: int) -> None:
        self.state, self.first = case.build(), case.build()
        self.table = case.table(days)
        self.trace = empty_trace(self.table.shape[0])
        self._no_fields = np.zeros((1, 3, *self.state.cells.shape[2:]))

    def _set_back(self) -> HeapState:
        for name in ("cells", "sites", "books"):
            getattr(self.state, name)[:] = getattr(self.first, name)
        return self.state

    def kernel(self, steps: int = 1) -> None:
        """Run the compiled kernel, and nothing of what stands around it."""
        state, hours = self._set_back(), self.table.shape[0]
        for first, last in ((0, 0), (0, hours)):
            run_hours_usual(
                state.parameters, state.sites, state.books, state.cells, self.table,
                np.array([first, last, 0, 1, steps]), (PROBE[0], PROBE[1]), self.trace[:, None],
                self._no_fields, False,
            )  # fmt: skip

    def loop_in_c(self, loop: LoopInC) -> None:
        """Run the loop in C on the same."""
        loop.run(self._set_back(), self.table, PROBE, self.trace)

    def outcome(self) -> FloatArray:
        """Return all numbers of the last run: its trace and its cells at the end."""
        return np.concatenate([self.trace.ravel(), self.state.cells.ravel()])


def disagreement(one: FloatArray, other: FloatArray) -> float:
    """Return the largest difference as a share of the number, or absolute below one."""
    return float(np.max(np.abs(one - other) / np.maximum(np.abs(one), 1.0)))


def against_c(loop: LoopInC) -> None:
    """Print each case's agreement and, where it agrees, times and ratio."""
    for name, case in CASES.items():
        bench = Bench(case, DAYS)
        bench.kernel()
        ours = bench.outcome()
        bench.loop_in_c(loop)
        apart = disagreement(ours, bench.outcome())
        if not apart <= AGREE_SHARE:
            show(f"kernel and C, {name}", f"no ratio: they differ by {apart:.1e}")
            continue
        kernel, other = shortest(
            [bench.kernel, lambda at=bench: at.loop_in_c(loop)], ROUNDS, time.thread_time
        )
        middle = statistics.median(kernel) / statistics.median(other)
        show(
            f"kernel and C, {name}",
            f"{1e3 * kernel[0]:.2f} and {1e3 * other[0]:.2f} ms: {kernel[0] / other[0]:.2f} x "
            f"(medians {middle:.2f} x), apart {apart:.0e}",
        )


def kernel_hour(steps: int) -> float:
    """Return the kernel's processor time for one hour of the usual heap. [s]"""
    bench = Bench(USUAL, 2 if steps > 1 else DAYS)
    times = shortest([lambda: bench.kernel(steps)], ROUNDS // 2, time.thread_time)
    return times[0][0] / bench.table.shape[0]


def against_scipy() -> None:
    """Print the ratio to the stiff solver at the kernel's own error, over the first hours."""
    for held, settings, all_steps in ((True, HELD, (1, 60)), (False, FREE, (1,))):
        tight = solve(Setting(held, 1e-6))[0]
        tried = try_settings(settings, tight)
        for steps in all_steps:
            error = root_mean_square(kernel_temperatures(steps) - tight)
            best = cheapest_as_good(tried, error)
            name = f"SciPy, {'held alike' if held else 'nothing held'}, {steps} steps an hour"
            if best is None:
                show(name, f"no setting tried is as good as {error:.3f} K")
                continue
            how = best.setting
            show(
                name,
                f"{best.seconds / kernel_hour(steps):.0f} x ({how.method} at {how.rtol:g}, "
                f"{1e3 * best.seconds:.1f} ms and {best.evaluations:.0f} evaluations an hour; "
                f"errors {best.error_k:.3f} and {error:.3f} K)",
            )


def against_numpy() -> None:
    """Print the ratio to the plain twin."""
    twin, table = PlainHeap(USUAL.build()), USUAL.table(1)
    start = time.thread_time()
    for hour in range(table.shape[0]):
        twin.hour(hour, table[hour])
    taken = (time.thread_time() - start) / table.shape[0]
    show("plain NumPy twin", f"{taken / kernel_hour(1):.0f} x, {1e3 * taken:.1f} ms an hour")


def run_of(
    members: int, days: int, threads: int, radii: int = 6, heights: int = 10
) -> Callable[[], object]:
    """Return a whole run of so many members, each with its own parameters."""
    rows = sample_parameters(members, np.random.default_rng(0))
    air = USUAL.weather(days)
    return lambda: simulate_ensemble(
        USUAL.shape, USUAL.fill, air, (), rows, probe_depth_m=0.5, threads=threads, radii=radii,
        heights=heights,
    )  # fmt: skip


def whole_calls() -> None:
    """Print whole calls: one heap, ensembles, and how time grows with all there is."""
    air = USUAL.weather(DAYS)
    one, kept = shortest(
        [run_of(1, DAYS, 1), lambda: simulate(USUAL.shape, USUAL.fill, air)], ROUNDS,
        time.process_time,
    )  # fmt: skip
    show(f"one member, {DAYS} days, whole call", f"{1e3 * one[0]:.2f} ms")
    show("the same with every cell kept", f"{1e3 * kept[0]:.2f} ms")
    show("the kernel alone, per cell and hour", f"{1e9 * kernel_hour(1) / CELLS:.0f} ns")
    single, double = shortest([run_of(200, 30, 1), run_of(200, 30, 2)], 5, time.perf_counter)
    show("200 members, 30 days, one thread, by the clock", f"{single[0]:.2f} s")
    show("200 members, 30 days, two threads, by the clock", f"{double[0]:.2f} s")
    works = [run_of(*size) for size in ((4, 30, 1), (4, 60, 1), (40, 30, 1), (4, 30, 1, 12, 20),
                                        (4, 30, 1, 24, 40))]  # fmt: skip
    base, days, members, fine, finest = (
        times[0] for times in shortest(works, 7, time.process_time)
    )
    show("60 days against 30 days", f"{days / base:.2f} x for 2")
    show("40 members against 4", f"{members / base:.2f} x for 10")
    show("12 x 20 cells against 6 x 10", f"{fine / base:.2f} x for 4 (another compiled form)")
    show("24 x 40 cells against 12 x 20", f"{finest / fine:.2f} x for 4")


def main() -> None:
    """Print the table."""
    load = ", ".join(f"{value:.1f}" for value in os.getloadavg())
    print(f"{platform.processor() or platform.machine()}, {os.cpu_count()} cores, load {load}")
    print(f"Python {platform.python_version()}, numba {numba.__version__}, "
          f"scipy {scipy.__version__}")  # fmt: skip
    start = time.perf_counter()
    Bench(USUAL, 1).kernel()
    show(
        "first call in this process (compiling or loading)", f"{time.perf_counter() - start:.2f} s"
    )
    compiler = find_compiler()
    if compiler is None:
        show("kernel and C", "no C compiler on this machine")
    else:
        show("C compiler", f"{version_of(compiler)} {' '.join(FLAGS)}")
        with tempfile.TemporaryDirectory() as folder:
            against_c(LoopInC(compiler, Path(folder)))
    whole_calls()
    against_numpy()
    print(f"SciPy's errors and times are of the first {HOURS} hours of the usual heap:")
    against_scipy()


if __name__ == "__main__":
    main()
