"""The ledger's laws: months add up, weeks laid into months lose nothing, heaps' water is kept."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heapwright.garden.ledger import (
    booked,
    by_month,
    money_of,
    month_of,
    months_between,
    months_on,
    over_members,
    total,
    weeks_in_months,
)
from heapwright.garden.ledger_types import Booking, Kind, Prices, Range, Sums
from heapwright.season.rotation_plan import PlannedBatch, Proof, RotationPlan, Stay
from heapwright.season.rotation_types import RotationProblem, Stage
from heapwright.season.stage_types import StageLengths
from heapwright.season.water_ahead import water_by_week
from tests.season.rotation_cases import random_year

DAYS = st.dates(date(2024, 1, 1), date(2026, 12, 31))
BOOKINGS = st.lists(
    st.builds(Booking, DAYS, st.sampled_from(Kind), st.none() | st.floats(0, 1e4, allow_nan=False)),
    max_size=40,
)


@given(BOOKINGS)
def test_months_add_up_to_what_was_booked(bookings: list[Booking]) -> None:
    months = months_between(date(2024, 1, 1), date(2026, 12, 31))
    assert len(months) == 36
    found = total(by_month(bookings, months).values())
    for one in fields(Sums):
        alone = sum(getattr(booked(booking), one.name) for booking in bookings)
        assert getattr(found, one.name) == pytest.approx(alone)
    assert found.unmeasured == sum(one.amount is None for one in bookings)
    assert found.water_kg == pytest.approx(
        sum(one.amount or 0 for one in bookings if one.kind is Kind.WATER)
    )


@given(BOOKINGS, DAYS)
def test_a_year_is_the_sum_of_its_parts(bookings: list[Booking], cut: date) -> None:
    months = months_between(date(2024, 1, 1), date(2026, 12, 31))
    before, after = (
        total(by_month(bookings, part).values())
        for part in (
            [one for one in months if one < month_of(cut)],
            [one for one in months if one >= month_of(cut)],
        )
    )
    whole = total(by_month(bookings, months).values())
    assert before.plus(after).water_kg == pytest.approx(whole.water_kg)
    assert before.plus(after).material_kg == pytest.approx(whole.material_kg)


@given(DAYS, st.integers(-40, 40))
def test_months_are_counted_there_and_back(day: date, number: int) -> None:
    month = month_of(day)
    assert months_on(months_on(month, number), -number) == month
    later = months_on(month, abs(number))
    assert len(months_between(month, later)) == abs(number) + 1


@given(st.integers(1, 60), DAYS, st.integers(0, 50), st.integers(0, 2**32 - 1))
def test_weeks_laid_into_months_lose_nothing(weeks: int, first: date, late: int, seed: int) -> None:
    weekly = np.random.default_rng(seed).uniform(0, 100, (weeks, 3))
    last = first + timedelta(weeks=weeks)
    months = months_between(first, last)
    laid = weeks_in_months(weekly, first, months, first)
    np.testing.assert_allclose(laid.sum(axis=0), weekly.sum(axis=0))
    # From a later day on, what the days before held is gone, and no more.
    from_day = first + timedelta(days=late)
    gone = sum(weekly[day // 7] / 7.0 for day in range(min(late, 7 * weeks))) + np.zeros(3)
    rest = weeks_in_months(weekly, first, months, from_day)
    np.testing.assert_allclose(rest.sum(axis=0), weekly.sum(axis=0) - gone, atol=1e-8)


def test_likely_water_adds_up_by_month_and_the_range_of_all_is_narrower() -> None:
    laid = np.random.default_rng(3).gamma(2.0, 20.0, (12, 40))
    months = [over_members(row) for row in laid]
    year = over_members(laid.sum(axis=0))
    assert sum(one.likely for one in months) == pytest.approx(year.likely)
    assert sum(one.low for one in months) < year.low <= year.likely <= year.high
    assert year.high < sum(one.high for one in months)


@given(st.floats(0, 1e5), st.floats(0, 10), st.floats(0, 10), st.floats(0, 100))
def test_money_goes_with_the_amount(water: float, own: float, buy: float, price: float) -> None:
    told = money_of(Range(water / 2, water, water * 2), own, buy, Prices(price, price, "$"))
    assert told.water is not None
    assert told.water.likely == pytest.approx(water / 1000 * price)
    assert told.water.low * 4 == pytest.approx(told.water.high)
    assert (told.bought, told.saved) == (pytest.approx(buy * price), pytest.approx(own * price))
    nothing = money_of(Range.exactly(water), own, buy, Prices())
    assert (nothing.water, nothing.bought, nothing.saved) == (None, None, None)


def lengths_of(problem: RotationProblem, seed: int = 5, members: int = 4) -> StageLengths:
    """Lengths whose water alone is looked at."""
    weeks = problem.weeks
    rng = np.random.default_rng(seed)
    return StageLengths(
        weeks=np.arange(weeks),
        days=np.full((3, weeks, members), 30.0),
        volume_share=np.ones((4, weeks, members)),
        water_kg=rng.uniform(0, 80, (3, weeks, members)),
        stirs=np.zeros((3, weeks, members)),
        hottest_c=np.full((weeks, members), 60.0),
        built_m3=0.5,
    )


def a_plan(problem: RotationProblem, seed: int) -> RotationPlan:
    """A plan that keeps to no rule but the order of weeks: every heap is harvested in the year."""
    rng = np.random.default_rng(seed)
    batches = []
    for heap in problem.standing:
        ends = np.sort(rng.choice(np.arange(1, problem.weeks), 3 - heap.stage, replace=False))
        begins = (0, *(int(end) for end in ends[:-1]))
        stays = tuple(
            Stay(stage, heap.bin_key, begin, int(end))
            for stage, begin, end in zip(list(Stage)[heap.stage :], begins, ends, strict=True)
        )
        batches.append(PlannedBatch(heap.key, heap.name, stays, True, heap.yield_m3))
    for number in range(5):
        weeks = np.sort(rng.choice(problem.weeks, 4, replace=False)).tolist()
        bin_key = problem.bins[int(rng.integers(len(problem.bins)))].key
        stays = tuple(Stay(s, bin_key, weeks[s], weeks[s + 1]) for s in Stage)
        yields = problem.form.yield_share
        batches.append(PlannedBatch(f"year-{number}", "heap", stays, False, yields))
    return RotationPlan(tuple(batches), (), 0.0, Proof.BY_RULE, 0.0, float("inf"), 0.0)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 500))
def test_the_weeks_of_a_plan_hold_all_the_water_of_its_heaps(seed: int) -> None:
    problem = random_year(seed, bins=4, builds=5)
    plan, lengths = a_plan(problem, seed), lengths_of(problem)
    standing = {heap.key: heap for heap in problem.standing}
    expected = np.zeros(lengths.members)
    for batch in plan.batches:
        heap = standing.get(batch.key)
        week = 7 if heap else batch.stays[0].start_week
        volume = heap.volume_m3 if heap else problem.bin_of(batch.stays[0].bin_key).volume_m3
        for stay in batch.stays:
            part = 1.0
            if heap is not None and stay.stage is heap.stage:
                part = min(1.0, heap.weeks_left / problem.stage_weeks[stay.stage][week])
            expected += lengths.water_kg[stay.stage, week] * volume / lengths.built_m3 * part
    found = water_by_week(plan, problem, lengths, dict.fromkeys(standing, 7))
    assert found.shape == (52, lengths.members)
    assert np.all(found >= 0)
    np.testing.assert_allclose(found.sum(axis=0), expected)


@given(st.integers(0, 51), st.integers(1, 30))
def test_what_lies_beyond_the_plan_is_not_told(start: int, takes: int) -> None:
    problem = replace(random_year(2, bins=2), standing=(), stage_weeks=((takes,) * 52,) * 3)
    lengths = lengths_of(problem)
    stay = Stay(Stage.FIRST, problem.bins[0].key, start, None)
    heap = PlannedBatch("year-1", "heap", (stay,), False, problem.form.yield_share)
    plan = replace(a_plan(problem, 1), batches=(heap,))
    found = water_by_week(plan, problem, lengths, {})
    whole = lengths.water_kg[Stage.FIRST, start] * problem.bins[0].volume_m3 / lengths.built_m3
    share = min(1.0, (52 - start) / takes)
    np.testing.assert_allclose(found.sum(axis=0), whole * share)
    assert np.all(found[:start] == 0)
