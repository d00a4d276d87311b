"""Plans by rule and by solver: whatever the year, they keep each rule, and never less with more.

Every garden is invented (`rotation_cases`). The rules are told by `play`, which knows no planner.
"""

from __future__ import annotations

import ast
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import heapwright.season.play
import heapwright.season.play_check
from heapwright.season.play import Broken, Rule, play
from heapwright.season.play_check import check
from heapwright.season.rotation_greedy import plan_by_rule, plan_of
from heapwright.season.rotation_keys import weeks_later
from heapwright.season.rotation_numbers import RotationNumbers
from heapwright.season.rotation_plan import (
    JobKind,
    PlannedBatch,
    Proof,
    RotationPlan,
    Stay,
    jobs_of,
)
from heapwright.season.rotation_search import orders_of
from heapwright.season.rotation_solve import plan_rotation
from heapwright.season.rotation_types import BedWish, RotationProblem, Stage
from heapwright.season.rotation_walk import Walk
from heapwright.season.rotation_weights import usual_weights
from tests.season.rotation_cases import random_year

YEARS = st.builds(
    random_year,
    seed=st.integers(0, 10_000),
    bins=st.integers(1, 5),
    builds=st.integers(0, 6),
    weeks=st.integers(12, 40),
    volumes=st.integers(1, 3),
)
STIRRED = st.sampled_from([(0.0, 0.0, 0.0), (0.1, 0.05, 0.0)])


def by_rule(problem: RotationProblem) -> RotationPlan:
    return plan_by_rule(RotationNumbers(problem), usual_weights())


@settings(deadline=None, max_examples=60)
@given(problem=YEARS, stirs=STIRRED)
def test_a_plan_by_rule_keeps_each_rule(
    problem: RotationProblem, stirs: tuple[float, float, float]
) -> None:
    problem = replace(problem, work=replace(problem.work, stirs_a_week=stirs))
    assert check(by_rule(problem), problem) == []


@settings(deadline=None, max_examples=8)
@given(problem=YEARS, stirs=STIRRED)
def test_a_solved_plan_keeps_each_rule_and_its_bound(
    problem: RotationProblem, stirs: tuple[float, float, float]
) -> None:
    problem = replace(problem, work=replace(problem.work, stirs_a_week=stirs))
    plan = plan_rotation(problem, seconds=1.0)
    assert check(plan, problem) == []
    assert by_rule(problem).worth <= plan.worth <= plan.bound + 1e-6


def test_orders_read_from_a_plan_give_that_plan_again() -> None:
    for seed in range(12):
        numbers = RotationNumbers(random_year(seed, volumes=1))
        plan = plan_by_rule(numbers, usual_weights())
        again = plan_of(numbers, usual_weights(), Walk(numbers, orders_of(numbers, plan)).walk())
        # A heap that stayed for want of a free bin stays; otherwise the walk is the same.
        assert again.worth == pytest.approx(plan.worth, rel=0.01)


def test_the_player_knows_no_planner() -> None:
    known = {"rotation_plan", "rotation_types", "play"}
    for module in (heapwright.season.play, heapwright.season.play_check):
        tree = ast.parse(Path(module.__file__ or "").read_text(encoding="utf-8"))
        names = [node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
        ours = {name.rsplit(".", 1)[1] for name in names if name.startswith("heapwright.")}
        assert ours <= known


# A plan that is spoilt on purpose: the rule that is broken is the one told.


@pytest.fixture(scope="module")
def spoilable() -> tuple[RotationProblem, RotationPlan]:
    problem = random_year(3, volumes=1)
    return problem, by_rule(problem)


def _with(plan: RotationPlan, batch: PlannedBatch) -> RotationPlan:
    return replace(
        plan, batches=tuple(batch if one.key == batch.key else one for one in plan.batches)
    )


def _harvested(plan: RotationPlan) -> PlannedBatch:
    return next(b for b in plan.batches if b.harvest_week is not None and not b.is_standing)


def _rules(broken: list[Broken]) -> set[Rule]:
    return {one.rule for one in broken}


def test_too_early_a_harvest_is_told(spoilable: tuple[RotationProblem, RotationPlan]) -> None:
    problem, plan = spoilable
    batch = _harvested(plan)
    assert batch.harvest_week is not None
    last = replace(batch.stays[-1], end_week=batch.harvest_week - 1)
    spoilt = _with(plan, replace(batch, stays=(*batch.stays[:-1], last)))
    assert Rule.READY in _rules(check(spoilt, problem))


def test_a_heap_up_the_row_is_told(spoilable: tuple[RotationProblem, RotationPlan]) -> None:
    problem, plan = spoilable
    batch = next(
        b for b in plan.batches if len(b.stays) > 1 and b.stays[0].bin_key != b.stays[1].bin_key
    )
    up = (replace(batch.stays[0], bin_key=batch.stays[1].bin_key),)
    up += (replace(batch.stays[1], bin_key=batch.stays[0].bin_key), *batch.stays[2:])
    assert Rule.ROW in _rules(check(_with(plan, replace(batch, stays=up)), problem))


def test_two_heaps_in_a_bin_are_told(spoilable: tuple[RotationProblem, RotationPlan]) -> None:
    problem, plan = spoilable
    batch = _harvested(plan)
    twin = replace(batch, key="twin")
    spoilt = replace(plan, batches=(*plan.batches, twin))
    plenty = replace(problem, most_builds=99, work_loads=(999.0,) * problem.weeks)
    assert Rule.EMPTY in _rules(check(spoilt, plenty))


@pytest.mark.parametrize(
    ("change", "rule"),
    [
        ({"work_loads": None}, Rule.WORK),
        ({"stuff": None}, Rule.STUFF),
        ({"most_builds": 1}, Rule.BUILDS),
    ],
)
def test_a_plan_for_another_year_is_told(
    spoilable: tuple[RotationProblem, RotationPlan], change: dict[str, object], rule: Rule
) -> None:
    problem, plan = spoilable
    if "work_loads" in change:
        change = {"work_loads": tuple(loads / 4 for loads in problem.work_loads)}
    if "stuff" in change:
        poor = [replace(s, arriving_m3=(0.0,) * problem.weeks, on_hand=()) for s in problem.stuff]
        change = {"stuff": tuple(poor)}
    other = replace(problem, **change)  # type: ignore[arg-type]
    assert rule in _rules(check(plan, other))


def test_a_promise_that_is_not_made_is_told(
    spoilable: tuple[RotationProblem, RotationPlan],
) -> None:
    problem, plan = spoilable
    beds = tuple(replace(bed, served_m3=bed.wished_m3 + 9.0) for bed in plan.beds)
    assert Rule.BEDS in _rules(check(replace(plan, beds=beds), problem))
    assert Rule.MADE in _rules(check(replace(plan, made_m3=plan.made_m3 + 0.1), problem))


# More of this gives no less of that.


@pytest.mark.parametrize("seed", [4])
def test_more_bins_work_or_stuff_are_never_worth_less(seed: int) -> None:
    problem = random_year(seed, bins=2, builds=3, weeks=26, volumes=1)
    plan = plan_rotation(problem, close=0.0)
    more_bins = replace(problem, bins=(*problem.bins, replace(problem.bins[-1], key="more")))
    more_work = replace(problem, work_loads=tuple(2 * loads for loads in problem.work_loads))
    more_stuff = replace(
        problem,
        stuff=tuple(
            replace(one, arriving_m3=tuple(2 * m3 for m3 in one.arriving_m3))
            for one in problem.stuff
        ),
    )
    assert plan.proof is Proof.PROVED
    for more in (more_bins, more_work, more_stuff):
        assert plan_rotation(more, close=0.0).bound >= plan.worth - 1e-6


# Planning anew.


@pytest.mark.parametrize("seed", [2, 5])
def test_the_same_year_planned_again_stays_as_it_is(seed: int) -> None:
    problem = random_year(seed, bins=3, builds=5, weeks=30, volumes=1)
    plan = plan_rotation(problem, seconds=2.0)
    again = plan_rotation(problem, earlier=plan, seconds=2.0)
    assert again.batches == plan.batches


def test_a_week_later_only_what_must_changes_and_heaps_keep_their_keys() -> None:
    problem = random_year(2, bins=3, builds=5, weeks=30, volumes=1)
    plan = plan_rotation(problem, seconds=2.0)
    jobs = [job for job in jobs_of(plan, problem) if job.kind is JobKind.BUILD]
    # Somebody falls ill in the week of the second build.
    ill = jobs[1].week
    loads = tuple(0.0 if w == ill else x for w, x in enumerate(problem.work_loads))
    after = plan_rotation(
        replace(problem, work_loads=loads), earlier=weeks_later(plan, 0), seconds=2.0
    )
    assert check(after, replace(problem, work_loads=loads)) == []
    keys = [batch.key for batch in after.batches]
    assert len(set(keys)) == len(keys)
    old = {(j.week, j.kind, j.bin_key) for j in jobs_of(plan, problem) if j.week < ill}
    new = {(j.week, j.kind, j.bin_key) for j in jobs_of(after, problem) if j.week < ill}
    assert old <= new
    assert {b.key for b in plan.batches} & set(keys)


def test_what_stands_by_now_is_taken_from_the_plan_by_its_own_key() -> None:
    stays = (Stay(Stage.FIRST, "b0", 1, 5), Stay(Stage.MIDDLE, "b1", 5, None))
    problem = random_year(2, bins=3, builds=1, weeks=30)
    plan = by_rule(problem)
    batch = replace(plan.batches[-1], key="planned-1", stays=stays, is_standing=False)
    later = weeks_later(replace(plan, batches=(batch,)), 2, {"planned-1": "heap-9"})
    assert later.batches[0].key == "heap-9"
    assert later.batches[0].is_standing
    assert later.batches[0].stays[1].start_week == 3


def test_a_bed_whose_wish_is_no_whole_litre_is_served_to_the_last_drop() -> None:
    bed = BedWish("t", "Tomatoes", 0.1016, 5)
    problem = replace(random_year(2), beds=(bed,), compost_on_hand_m3=0.2)
    assert by_rule(problem).beds[0].short_m3 == 0.0


# Where there is no solver, and no time.


def test_without_the_solver_there_is_a_plan_with_a_bound(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    for name in [name for name in sys.modules if name.split(".")[0] == "ortools"]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setitem(sys.modules, "ortools", None)
    problem = random_year(2, bins=3, builds=5, weeks=30)
    plan = plan_rotation(problem, seconds=2.0)
    assert check(plan, problem) == []
    assert by_rule(problem).worth <= plan.worth <= plan.bound < float("inf")


def test_without_time_the_plan_is_by_rule() -> None:
    problem = random_year(2)
    plan = plan_rotation(problem, seconds=0.0)
    assert plan.proof is Proof.BY_RULE
    assert check(plan, problem) == []


def test_a_year_without_bins_beds_or_stuff_has_a_plan() -> None:
    bare = replace(random_year(2), bins=(), standing=(), beds=(), stuff=())
    plan = plan_rotation(bare, seconds=1.0)
    assert plan.batches == () and plan.proof is Proof.PROVED


def test_played_as_expected_each_promise_is_kept() -> None:
    problem = random_year(7)
    plan = by_rule(problem)
    played = play(problem, plan)
    assert played.delays == []
    promised = sum(bed.served_m3 for bed in plan.beds)
    there = problem.compost_on_hand_m3 + played.made_m3
    assert played.left_m3 == pytest.approx(there - promised)
