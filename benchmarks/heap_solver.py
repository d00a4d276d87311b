"""How long SciPy's stiff solvers take for the heap at the kernel's own error.

The error of each is its difference from a tight run of the same solver, over all cells and hours.
Knows how settings are tried and chosen. What the solver integrates is `tests/twins/stiff_heap.py`,
written in NumPy: the time is that of the rates as well as of the solver.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.integrate import solve_ivp

from benchmarks.heap_cases import USUAL, Case
from heapwright.heap.stretches import job_of, run_all_hours
from heapwright.heap.types import FloatArray
from tests.twins.stiff_air import surroundings
from tests.twins.stiff_heap import HOUR_S, StiffHeap

#: From the cold through the first rise to the hottest hours.
HOURS = 36


@dataclass(frozen=True, slots=True)
class Setting:
    """How the solver is asked to work.

    `held` keeps what the kernel keeps through an hour or two. `through` goes through all hours in
    one run, over the jumps of the weather, instead of starting anew each hour.
    """

    held: bool
    rtol: float
    method: str = "LSODA"
    through: bool = False


#: Without anything held, one run through is the quickest for a loose answer.
HELD = tuple(Setting(True, rtol, method) for method, rtol in (
    ("LSODA", 1e-1), ("LSODA", 1e-3), ("LSODA", 1e-4), ("BDF", 1e-1), ("Radau", 1e-1)
))  # fmt: skip
FREE = (
    Setting(False, 1e-2, through=True), Setting(False, 1e-3, through=True), Setting(False, 1e-2)
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Tried:
    """A setting with its error [K], processor time [s] and evaluations, both for an hour."""

    setting: Setting
    error_k: float
    seconds: float
    evaluations: float


def solve(setting: Setting, case: Case = USUAL) -> tuple[FloatArray, float, float]:
    """Return temperatures hour by hour, processor time [s] and evaluations for an hour."""
    heap, table = StiffHeap(case.build(), held=setting.held), case.table(-(-HOURS // 24))[:HOURS]
    start = time.thread_time()
    if setting.through:
        found = _through(heap, table, setting)
    else:
        hours = []
        for row in table:
            heap.hour(row, method=setting.method, rtol=setting.rtol)
            hours.append(heap.temperature_c.copy())
        found = np.array(hours)
    return found, (time.thread_time() - start) / HOURS, heap.evaluations / HOURS


def _through(heap: StiffHeap, table: FloatArray, setting: Setting) -> FloatArray:
    """Go through all hours in one run of the solver."""
    around = [surroundings(heap.p, heap.site, row) for row in table]

    def slope(seconds: float, flat: FloatArray) -> FloatArray:
        heap.evaluations += 1
        heap.hours = min(int(seconds // HOUR_S), HOURS - 1)
        y = flat.reshape(-1, heap.faces.cells, 1)
        rates = heap.rates(y, seconds - HOUR_S * heap.hours, around[heap.hours])
        return rates.reshape(flat.shape)

    ends = HOUR_S * np.arange(1, HOURS + 1)
    done = solve_ivp(
        slope, (0.0, ends[-1]), heap.y, method=setting.method, rtol=setting.rtol,
        atol=setting.rtol * heap.sizes, t_eval=ends,
    )  # fmt: skip
    return np.asarray(done.y[: heap.faces.cells].T.reshape(HOURS, *heap.grid))


def kernel_temperatures(steps: int, case: Case = USUAL) -> FloatArray:
    """Return the kernel's cells hour by hour, on the usual grid."""
    state, table = case.build(), case.table(-(-HOURS // 24))
    job = job_of(case.weather(-(-HOURS // 24)), 1.0, steps, *state.cells.shape[2:])
    job.weather[:] = table
    run_all_hours(state, job, [], 1)
    return job.fields[1 : HOURS + 1, 0]


def root_mean_square(difference: FloatArray) -> float:
    """Return the root of the mean square."""
    return float(np.sqrt(np.mean(np.square(difference))))


def cheapest_as_good(tried: Sequence[Tried], wanted_k: float) -> Tried | None:
    """Return the quickest setting whose error is not above the wanted one."""
    good = [one for one in tried if one.error_k <= wanted_k]
    return min(good, key=lambda one: one.seconds, default=None)


def try_settings(settings: Sequence[Setting], tight: FloatArray) -> list[Tried]:
    """Return what each setting costs and how far it is from the tight run."""
    tried = []
    for setting in settings:
        found, seconds, evaluations = solve(setting)
        tried.append(Tried(setting, root_mean_square(found - tight), seconds, evaluations))
    return tried
