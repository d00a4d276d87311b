"""Chances over many years, and what cannot be in words; Wilson's interval as it is printed."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from heapwright.quantities import UnitSystem
from heapwright.season.play import Course, expected_course
from heapwright.season.rotation_chances import chances, wilson
from heapwright.season.rotation_greedy import plan_by_rule
from heapwright.season.rotation_numbers import RotationNumbers
from heapwright.season.rotation_plan import BedServed, RotationPlan
from heapwright.season.rotation_reasons import cannot, earliest_harvest_week, reasons
from heapwright.season.rotation_types import BedWish, RotationProblem
from heapwright.season.rotation_weights import usual_weights
from heapwright.sentences import Reader, render
from tests.season.rotation_cases import random_year


def by_rule(problem: RotationProblem) -> RotationPlan:
    return plan_by_rule(RotationNumbers(problem), usual_weights())


# Newcombe 1998, Statistics in Medicine 17:857-872, table I, method 3 (score without continuity
# correction), 95 %; recalled from memory, and each row also follows from the formula by hand.
@pytest.mark.parametrize(
    ("hits", "tries", "low", "high"),
    [
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_wilsons_interval_as_newcombe_prints_it(
    hits: int, tries: int, low: float, high: float
) -> None:
    found = wilson(hits, tries, z=1.959964)
    assert found == pytest.approx((low, high), abs=0.5e-4)


def test_in_the_year_that_is_counted_on_each_promise_is_kept() -> None:
    problem = random_year(7)
    plan = by_rule(problem)
    found = chances(plan, problem, [expected_course(problem)] * 3)
    for bed, chance in zip(plan.beds, found.beds, strict=True):
        assert chance.chance == float(bed.served_m3 >= 0.99 * bed.wished_m3)
    for batch, spread in zip(plan.batches, found.batches, strict=True):
        assert spread.low_week == spread.high_week == batch.harvest_week


def _slower(course: Course, weeks: int) -> Course:
    return replace(
        course,
        stage_weeks=[[n + weeks for n in row] for row in course.stage_weeks],
        standing_weeks=[[n + weeks for n in row] for row in course.standing_weeks],
    )


@pytest.mark.parametrize("seed", [3, 5, 8])
def test_slower_heaps_serve_no_bed_more_often_and_are_ready_no_earlier(seed: int) -> None:
    problem = random_year(seed)
    plan = by_rule(problem)
    usual, rng = expected_course(problem), np.random.default_rng(seed)
    late = [int(n) for n in rng.integers(0, 4, 40)]
    few = chances(plan, problem, [_slower(usual, n) for n in late])
    more = chances(plan, problem, [_slower(usual, n + 2) for n in late])
    for one, other in zip(few.beds, more.beds, strict=True):
        assert one.low - 1e-9 <= one.chance <= one.high + 1e-9
        assert other.chance <= one.chance
    for soon, later in zip(few.batches, more.batches, strict=True):
        weeks = [99 if week is None else week for week in (soon.likely_week, later.likely_week)]
        assert weeks[0] <= weeks[1]


def _told(problem: RotationProblem) -> str:
    reader = Reader(UnitSystem.METRIC)
    return " ".join(render(sentence, reader) for sentence in cannot(problem))


def test_what_can_be_done_is_not_called_impossible() -> None:
    problem = replace(random_year(3), beds=())
    assert _told(problem) == ""


def test_wishes_that_no_plan_meets_are_named() -> None:
    problem = replace(random_year(3), compost_on_hand_m3=0.0)
    nobody = replace(problem, work_loads=(0.0,) * problem.weeks)
    assert "Nobody works" in _told(nobody)
    large = replace(problem.form, least_build_m3=9.0)
    assert "No bin is large enough" in _told(replace(problem, form=large))
    bare = [
        replace(one, arriving_m3=(0.0,) * problem.weeks, on_hand=()) if one.key == "greens" else one
        for one in problem.stuff
    ]
    assert "never enough greens" in _told(replace(problem, stuff=tuple(bare)))
    soon = replace(problem, beds=(BedWish("t", "The tomato bed", 0.4, 0),), standing=())
    assert "The tomato bed is due" in _told(soon)
    assert "nothing can be ready before" in _told(soon)


def test_no_plan_harvests_before_the_earliest_week() -> None:
    for seed in range(15):
        problem = random_year(seed)
        harvests = [b.harvest_week for b in by_rule(problem).batches if b.harvest_week is not None]
        earliest = earliest_harvest_week(problem)
        assert not harvests or (earliest is not None and earliest <= min(harvests))


def test_what_holds_a_year_back_is_found_by_lifting_it() -> None:
    problem = random_year(4, bins=2, volumes=1, builds=8)
    plenty = replace(
        problem,
        work_loads=(99.0,) * problem.weeks,
        stuff=tuple(
            replace(one, arriving_m3=(5.0,) * problem.weeks, keeps_weeks=5) for one in problem.stuff
        ),
    )
    found = reasons(plenty, by_rule(plenty), by_rule)
    told = [render(one, Reader(UnitSystem.METRIC)) for one in found]
    assert any("The bins hold it back" in one for one in told)
    assert not any(
        word in one for one in told for word in ("Greens hold", "Browns hold", "Your time")
    )


def test_what_a_limit_costs_is_told_once_and_not_summed_with_what_beds_get() -> None:
    """A plan that makes 0.3 m³ more, all of it for a bed in time, gives 0.3 m³ more, not 0.6."""
    problem = random_year(4)
    plan = by_rule(replace(problem, beds=()))
    bed = BedServed("t", "Tomatoes", 9, 2.0, 0.0)
    before = replace(plan, beds=(bed,))
    given = replace(bed, served_m3=0.3)
    more = replace(plan, made_m3=plan.made_m3 + 0.3, beds=(given,))
    sooner = replace(plan, beds=(given,))
    for found, words in ((more, "give 300 L more."), (sooner, "give 300 L more in time for")):
        told = [
            render(one, Reader(UnitSystem.METRIC))
            for one in reasons(problem, before, lambda _, found=found: found)
        ]
        assert any("The bins hold it back" in one and words in one for one in told)


def test_work_that_is_just_too_much_never_reads_as_just_enough() -> None:
    problem = random_year(3)
    loads = problem.bins[0].volume_m3 / problem.work.barrow_m3 * problem.work.build
    cap = math.floor(loads) + 0.4 * (loads - math.floor(loads))
    told = _told(replace(problem, work_loads=(cap,) * problem.weeks))
    assert f"takes {math.ceil(loads)} barrow loads; you do {math.floor(cap)} in a week" in told
