"""The heap's benchmark can be loaded, reads the kernel's own names and refuses ratios of unequals.

Nothing is timed here, and no C compiler is needed: the benchmark itself compares with C.
"""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from benchmarks import bench_heap
from benchmarks.heap_cases import CASES, USUAL
from benchmarks.heap_in_c import calling
from benchmarks.heap_solver import Setting, Tried, cheapest_as_good, root_mean_square
from heapwright.heap import layout
from heapwright.heap.parameters import PARAMETER_IDS


def test_loop_in_c_reads_the_kernels_records_in_their_order() -> None:
    lines = calling.names_header().splitlines()
    for title, names in (
        ("parameters", PARAMETER_IDS),
        ("site", layout.SITE_DTYPE.names),
        ("book", layout.BOOK_DTYPE.names),
    ):
        (line,) = [line for line in lines if line.startswith(f"struct {title} ")]
        inside = line.split("{ double ")[1].split(";")[0]
        assert tuple(inside.split(", ")) == tuple(names or ())
    (places,) = [line for line in lines if line.startswith("enum")]
    for name in ("BUILD_UP", "SOIL_C", "TRACE_HEAT_LOST_TURNING"):
        assert f" {name} = {getattr(layout, name)}" in places
    assert f"#define RING_GRADING {layout.RING_GRADING}" in lines


def test_every_field_of_a_cell_is_known_to_the_loop_in_c() -> None:
    fields = [name for name in calling._CELL_FIELDS if name != "CELL_FIELDS"]
    assert [getattr(layout, name) for name in fields] == list(range(layout.CELL_FIELDS))
    text = (calling.FOLDER / "heap.c").read_text(encoding="utf-8")
    assert [name for name in fields if f"fields[{name}]" not in text] == []


def test_disagreement_is_a_share_of_large_numbers_and_absolute_for_small_ones() -> None:
    one = np.array([2.0e6, 0.0, 50.0])
    assert bench_heap.disagreement(one, one) == 0.0
    assert bench_heap.disagreement(one, one + np.array([2.0, 0.0, 0.0])) == pytest.approx(1e-6)
    assert bench_heap.disagreement(one, one + np.array([0.0, 1e-3, 0.0])) == pytest.approx(1e-3)
    assert not bench_heap.disagreement(one, np.array([2.0e6, np.nan, 50.0])) <= 1.0


class Idle:
    """A loop that leaves the heap as it was built."""

    def run(self, *_: object) -> None:
        return


def test_no_ratio_is_printed_for_a_loop_that_disagrees(capsys: pytest.CaptureFixture[str]) -> None:
    bench_heap.against_c(Idle())
    rows = capsys.readouterr().out.splitlines()
    assert len(rows) == len(CASES)
    assert all("no ratio: they differ by" in row for row in rows)


def test_work_is_timed_in_turn_and_the_shortest_comes_first() -> None:
    order: list[str] = []
    times = iter([0.0, 3.0, 10.0, 10.5, 20.0, 21.0, 30.0, 34.0])
    first, second = bench_heap.shortest(
        [lambda: order.append("a"), lambda: order.append("b")], 2, lambda: next(times)
    )
    assert order == ["a", "b", "a", "b"]
    assert first == [1.0, 3.0] and second == [0.5, 4.0]


def test_solver_is_taken_at_its_quickest_setting_that_is_as_good() -> None:
    tried = [
        Tried(Setting(True, rtol), error, seconds, 9.0)
        for rtol, error, seconds in ((1e-1, 0.9, 1.0), (1e-2, 0.4, 3.0), (1e-3, 0.1, 2.0))
    ]
    assert cheapest_as_good(tried, 1.0) is tried[0]
    assert cheapest_as_good(tried, 0.5) is tried[2]
    assert cheapest_as_good(tried, 0.01) is None
    assert root_mean_square(np.array([3.0, 4.0])) == pytest.approx(np.sqrt(12.5))


def test_a_bench_starts_every_run_from_the_heap_as_built() -> None:
    bench = bench_heap.Bench(USUAL, 1)
    outcomes = []
    for _ in range(2):
        bench.kernel()
        outcomes.append(bench.outcome().copy())
    assert np.array_equal(*outcomes)
    assert bench.trace[0, layout.TRACE_WATER] == pytest.approx(380.0 * 0.6)


def test_cases_differ_and_hold_rain_only_where_they_say_so() -> None:
    for one, other in itertools.combinations(CASES.values(), 2):
        assert one != other
    for case in CASES.values():
        weather = case.weather(5)
        assert weather.hours == 120
        assert weather.rain_mm.sum() == pytest.approx(4 * case.rain_mm)
