"""The table of hidden faults in docs/validation.md is what its benchmark gives.

Some of the stored cases are judged anew; all 500 take minutes and are run by the command.
"""

from __future__ import annotations

import ast
import inspect

import pytest

from benchmarks.diagnosis import faults, told
from benchmarks.diagnosis.__main__ import PAGE, PUBLISHED, TRAINING, part, written
from benchmarks.diagnosis.judged import case, fault_of
from benchmarks.diagnosis.score import KEPT, load, table, wilson
from heapwright.diagnosis.tables import causes

#: One of each of three kinds: slow ones, such as heaps of many weeks, are left to the command.
AGAIN = (4, 7, 32)


def test_the_page_holds_what_the_stored_results_give() -> None:
    """When this fails: `python -m benchmarks.diagnosis --write`, and read what changed."""
    page = PAGE.read_text(encoding="utf-8")
    assert written(page) == page
    assert part() in page


@pytest.mark.parametrize("seed", AGAIN)
def test_a_stored_case_comes_out_the_same_when_judged_anew(seed: int) -> None:
    """When this fails the tables or the model have changed: run the command and publish anew."""
    stored = next(one for one in load()[1] if one.seed == seed)
    again = case(seed)
    assert again.fault == stored.fault == fault_of(seed)
    assert again.first[:KEPT] == stored.first
    assert again.asked[:KEPT] == stored.asked
    assert again.chance == pytest.approx(stored.chance, abs=0.02)  # other machines round otherwise


def test_all_published_seeds_are_stored_and_none_was_trained_on() -> None:
    assert [one.seed for one in load()[1]] == list(PUBLISHED)
    assert not set(PUBLISHED) & set(TRAINING)


def test_every_cause_is_hidden_equally_often() -> None:
    assert set(faults.FAULTS) == {cause.id for cause in causes()}
    counts = [sum(one.fault == fault for one in load()[1]) for fault in faults.FAULTS]
    assert max(counts) - min(counts) <= 1


def test_the_world_does_not_read_the_programs_table() -> None:
    for module in (faults, told):
        names = {
            node.module
            for node in ast.walk(ast.parse(inspect.getsource(module)))
            if isinstance(node, ast.ImportFrom) and node.module
        }
        assert not names & {
            "heapwright.diagnosis.tables",
            "heapwright.diagnosis.weigh",
            "heapwright.diagnosis.check",
            "heapwright.tables",
        }


def test_the_interval_is_wilsons() -> None:
    """81 of 263: 0.255 to 0.366 (Newcombe 1998, table I, Wilson without continuity correction)."""
    low, high = wilson(81, 263)
    assert low == pytest.approx(0.2553, abs=5e-5)
    assert high == pytest.approx(0.3662, abs=5e-5)


def test_a_table_counts_firsts_and_first_threes() -> None:
    cases = load()[1][:42]
    text = table(cases)
    hits = sum(one.first[0] == one.fault for one in cases)
    assert f"| {100 * hits / 42:.1f} % (" in text
