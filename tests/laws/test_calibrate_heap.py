"""Fitting the heap model: it never makes things worse and changes only what it fitted."""

from __future__ import annotations

import csv
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heapwright.heap.parameters import load_parameters, parameter_estimates
from heapwright.validation.leave_one_out import leave_one_out_scores, numbers_mark
from heapwright.validation.load import find_case, load_cases
from heapwright.validation.score import validate
from tools import calibrate_heap as calibrate

CASES = [find_case("O6"), find_case("O7"), find_case("O9")]
TWO = calibrate.scales(("fast_rate_per_day", "permeability_m2"))


@given(st.sampled_from(calibrate.scales()), st.floats(0.0, 1.0))
def test_places_in_a_range_and_values_are_each_others_inverse(
    scale: calibrate.Scale, share: float
) -> None:
    value = scale.to_value(share)
    assert scale.to_share(value) == pytest.approx(share, abs=1e-9)
    assert scale.estimate.low * (1 - 1e-9) <= value <= scale.estimate.high * (1 + 1e-9) or (
        scale.estimate.low <= 0.0
    )


def test_a_round_of_fitting_makes_the_misses_smaller_and_stays_in_range() -> None:
    said: list[str] = []
    found = calibrate.fit(CASES, TWO, 1, said.append)
    assert len(said) == 1
    before = calibrate.misses(validate(CASES, load_parameters()))[0]
    assert calibrate.cost(found.misses, found.shares, found.start) <= calibrate.cost(
        before, found.start, found.start
    )
    assert np.all((found.shares >= 0.0) & (found.shares <= 1.0))


def test_with_nothing_missed_the_search_stays_where_it_starts() -> None:
    step = calibrate.newton_step(np.ones((3, 2)), np.zeros(3), np.zeros(2))
    assert step == pytest.approx(np.zeros(2))


def test_search_finds_where_straight_lines_cross_nothing() -> None:
    # One miss of 1 that a step of +1 in the only number would take away, held back by its start:
    # weight 1/sqrt(2); the step is w / (w + 1) with a holding of (2 * 0.5)^2 = 1.
    weight = 1.0 / np.sqrt(2.0)
    step = calibrate.newton_step(np.array([[-1.0]]), np.array([1.0]), np.zeros(1))
    assert step[0] == pytest.approx(weight / (weight + 1.0))


def test_a_case_left_out_has_no_say() -> None:
    found = calibrate.fit(CASES, TWO, 1, lambda line: None)
    first = CASES[0]
    absurd = replace(
        first, checks=tuple(replace(check, low=500.0, high=500.0) for check in first.checks)
    )
    honest = calibrate.left_out(found, CASES, first.id, 2)
    asked = calibrate.left_out(found, [absurd, *CASES[1:]], first.id, 2)
    assert [check.modelled for check in honest.checks] == [check.modelled for check in asked.checks]


def test_scores_of_cases_left_out_belong_to_the_shipped_numbers() -> None:
    """When this fails: `python3 tools/calibrate_heap.py --write --leave-one-out 2`."""
    scores = leave_one_out_scores()
    tested = [case.id for case in load_cases() if not case.not_tested]
    assert [score.case for score in scores] == tested
    assert sum(score.passed for score in scores) >= 20


def test_scores_of_other_numbers_are_not_told_as_todays() -> None:
    other = replace(load_parameters(), gravity_m_s2=9.8)
    assert numbers_mark(other) != numbers_mark(load_parameters())


def test_only_the_fitted_numbers_change_in_the_table() -> None:
    before = calibrate.TABLE.read_text(encoding="utf-8")
    after = calibrate.rewritten(before, {"fast_rate_per_day": 0.26789})
    changed = [
        (old, new)
        for old, new in zip(before.split("\n"), after.split("\n"), strict=True)
        if old != new
    ]
    assert len(changed) == 1
    old, new = (next(csv.reader([line])) for line in changed[0])
    assert new[3] == "0.268" and new[9] == "derived"
    assert [new[k] for k in (0, 1, 2, 4, 5, 6, 7, 8)] == [old[k] for k in (0, 1, 2, 4, 5, 6, 7, 8)]


def test_every_number_to_be_fitted_is_in_the_table_and_uncertain() -> None:
    table = parameter_estimates()
    for scale in calibrate.scales():
        assert table[scale.name].low < table[scale.name].high
