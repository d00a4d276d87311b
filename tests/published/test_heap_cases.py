"""The heap model, one set of numbers for all, against the open cases of measured heaps (O1-O31).

Tolerances as printed with their collection: time to 55 °C within a day, a peak or reading within
6 °C, days at 55 °C or more within 35 %, losses within 10 points. Sources, what was assumed and what
is compared stand in `validation/cases`. What cannot be met stays as a strict expected failure.
"""

from __future__ import annotations

from functools import cache

import pytest

from heapwright.heap.parameters import load_parameters
from heapwright.validation.load import find_case, load_cases
from heapwright.validation.report import text_table
from heapwright.validation.score import score
from heapwright.validation.types import CaseResult

MISSED = {"O1", "O5", "O27"}
NOT_TESTED = {"O18"}
MET = [case.id for case in load_cases() if case.id not in MISSED | NOT_TESTED]


@cache
def result(key: str) -> CaseResult:
    return score(find_case(key), load_parameters())


def met(key: str) -> None:
    assert result(key).passed, text_table([result(key)])


@pytest.mark.parametrize("key", MET)
def test_heap_matches_measured_case(key: str) -> None:
    met(key)


def test_at_least_24_of_31_cases_are_met() -> None:
    assert sum(result(case.id).passed for case in load_cases()) >= 24


def test_no_heap_that_must_stay_cool_gets_hot() -> None:
    assert not [case.id for case in load_cases() if result(case.id).heated_wrongly]


@pytest.mark.xfail(
    strict=True,
    reason="O1, turn with re-wetting on day 19: +8.4 °C in a day measured, +0.5 modelled; under "
    "its tarp the modelled heap was not dry, the measured one was",
)
def test_heap_matches_o1_wire_cages() -> None:
    met("O1")


@pytest.mark.xfail(
    strict=True,
    reason="O5, 60 °C on the fourth day measured, 68 modelled; only two readings, and the parts "
    "are guessed",
)
def test_heap_matches_o5_bin_turned_twice() -> None:
    met("O5")


@pytest.mark.xfail(
    strict=True,
    reason="O27, 66.7 °C a day after sprinkling measured, 59.2 modelled; half of what is poured on "
    "reaches the modelled core, which starts cooler and rises less",
)
def test_heap_matches_o27_dry_bin_sprinkled() -> None:
    met("O27")
