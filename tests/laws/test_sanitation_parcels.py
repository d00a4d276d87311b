"""Parcels of a heap: nothing is lost on the way, and heat counts as hours of heat do."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from heapwright.heap.actions import inside_out
from heapwright.heap.simulate import simulate
from heapwright.heap.state import cell_shares
from heapwright.heap.types import ActionKind, HeapAction, HeapRun
from heapwright.sanitation import shares, times
from heapwright.sanitation.evidence import load_evidence, share_through
from heapwright.sanitation.parcels import Parcels, carry, follow
from heapwright.sanitation.rules import (
    Counting,
    coldest_counted_c,
    load_rules,
    met,
    turnings_in_hot_period,
)
from tests.laws.heap_courses import DAY, PALLET_BIN, fill, weather

LOTS = 4000
temperatures = st.integers(2, 200).flatmap(
    lambda hours: arrays(np.float64, (hours, 3), elements=st.floats(-10.0, 90.0))
)


def chance(seed: int = 1) -> np.random.Generator:
    return np.random.default_rng(seed)


def steady(temperature_c: float, hours: int, parcels: int = 1) -> Parcels:
    """Parcels that are this warm all the time."""
    return Parcels(
        temperature_c=np.full((hours + 1, parcels), temperature_c),
        moisture=np.full((hours + 1, parcels), 0.6),
        birth_hour=np.zeros(parcels, dtype=np.int64),
        weight=np.full(parcels, 1.0 / parcels),
        hours=hours,
    )


def a_run(days: int = 12, actions: tuple[HeapAction, ...] = ()) -> HeapRun:
    return simulate(PALLET_BIN, fill(0.9), weather(days, 20.0), actions)


TURNED = (
    HeapAction(3.0 * DAY, ActionKind.MOVE, 10.0),
    HeapAction(6.0 * DAY, ActionKind.STIR),
    HeapAction(8.0 * DAY, ActionKind.ADD, fill=fill(0.2)),
)


@given(seed=st.integers(0, 2**32 - 1), count=st.integers(1, 500))
def test_parcels_keep_their_weight_and_follow_the_cells_when_built(seed: int, count: int) -> None:
    run = TWO_DAYS
    parcels = follow(run, chance(seed), count)
    assert parcels.weight.sum() == pytest.approx(1.0)
    assert (parcels.birth_hour == 0).all()
    for share, start in zip(run.cell_share.ravel(), run.temperature_c[-1].ravel(), strict=True):
        there = (parcels.temperature_c[-1] == start).sum()
        assert abs(there - share * count) <= 1.0 + 1e-9


TWO_DAYS = a_run(2)


def test_an_addition_comes_in_by_its_mass_and_brings_no_heat_along() -> None:
    run = a_run(12, TURNED)
    parcels = follow(run, chance(), 1000)
    hour = 8 * DAY
    added = run.redistributions[-1].added_kg
    new = parcels.birth_hour == hour
    assert parcels.weight.sum() == pytest.approx(1.0)
    assert parcels.weight[new].sum() == pytest.approx(added / (run.dry_mass_kg[hour] + added))
    assert np.isnan(parcels.temperature_c[: hour + 1, new]).all()
    assert np.isfinite(parcels.temperature_c[hour + 1 :, new]).all()
    assert np.isfinite(parcels.temperature_c[:, ~new]).all()
    # However hot the heap was before, no hour up to the next one counts for what came in.
    assert times.hours_within(parcels.temperature_c, 0.0)[: hour + 1, new].max() < 1e-6
    assert parcels.weight.max() < 1.05 * parcels.weight.min()


def test_additions_of_one_hour_count_one_after_the_other() -> None:
    two = tuple(HeapAction(30.0, ActionKind.ADD, fill=fill(0.1)) for _ in range(2))
    run = a_run(3, two)
    parcels = follow(run, chance(), 600)
    added = run.redistributions[0].added_kg
    part = 2.0 * added / (run.dry_mass_kg[30] + 2.0 * added)
    assert parcels.weight[parcels.birth_hour == 30].sum() == pytest.approx(part)


def test_an_addition_when_it_is_built_is_there_from_the_next_hour() -> None:
    run = a_run(2, (HeapAction(0.0, ActionKind.ADD, fill=fill(0.1)),))
    parcels = follow(run, chance(), 100)
    assert np.isnan(parcels.temperature_c[0, 100:]).all()
    assert np.isfinite(parcels.temperature_c[1:]).all()


@pytest.mark.parametrize("mixing", [0.0, 0.5, 1.0])
def test_places_after_a_turn_follow_the_matrix(mixing: float) -> None:
    """Even steps keep each column and every place closer than parcels that go by themselves."""
    share = cell_shares(6, 10).ravel()
    matrix = (1.0 - mixing) * inside_out(0.56, 0.9, 6, 10) + mixing * share[:, None]
    old = np.repeat(np.arange(share.size), np.round(LOTS * share).astype(int))
    new = carry(matrix, old, chance())
    for cell in (0, 25, 59):
        came = np.bincount(new[old == cell], minlength=share.size)
        wanted = matrix[:, cell] * (old == cell).sum()
        assert np.abs(came - wanted).max() <= 3.0
    chances = matrix[:, old]
    by_lot = (chances * (1.0 - chances)).sum(axis=1)  # variance if each went by itself
    missed = np.bincount(new, minlength=share.size) - chances.sum(axis=1)
    assert np.square(missed).sum() <= 0.2 * by_lot.sum() + 1.0


def test_a_turn_that_leaves_everything_in_place_moves_no_parcel() -> None:
    old = np.arange(60).repeat(5)
    assert np.array_equal(carry(np.eye(60), old, chance()), old)


def test_where_a_parcel_came_from_does_not_decide_where_it_goes() -> None:
    """After two full mixings the two old places are independent of each other."""
    share = np.full(10, 0.1)
    mixed = np.repeat(share[:, None], 10, axis=1)
    first = np.arange(10).repeat(2000)
    second = carry(mixed, first, chance(3))
    third = carry(mixed, second, chance(4))
    counts = np.zeros((10, 10))
    np.add.at(counts, (first, third), 1)
    # 20,000 parcels over 100 pairs: 200 each, with a spread of about 14 at random.
    assert np.abs(counts - 200.0).max() < 5 * np.sqrt(200.0)


def test_six_mixings_leave_as_many_behind_as_chance_does() -> None:
    """Half of two places each time: one parcel in 64 stays in the first place throughout."""
    half = np.full((2, 2), 0.5)
    left = []
    for seed in range(60):
        rng = chance(seed)
        cell = np.zeros(6400, dtype=np.int64)
        stayed = np.ones(6400, dtype=bool)
        for _ in range(6):
            cell = carry(half, cell, rng)
            stayed &= cell == 0
        left.append(stayed.sum())
    # 100 each with a spread of 9.9 when every parcel goes by itself; parcels that keep their order
    # from one mixing to the next spread by 16.
    assert abs(np.mean(left) - 100.0) < 5.0
    assert np.std(left) < 13.0


@given(temperatures)
def test_hours_lie_between_none_and_all_and_spells_within_them(field: np.ndarray) -> None:
    spent = times.hours_within(field, 55.0)
    spell = times.longest(field, 55.0)
    assert spent.min() >= 0.0 and spent.max() <= 1.0
    assert (spell <= spent.sum(axis=0) + 1e-6).all()
    assert (times.dose(field) >= 0.0).all()


@given(temperatures, st.floats(0.0, 20.0))
def test_more_heat_never_lowers_what_is_met(field: np.ndarray, warmer: float) -> None:
    for rule in load_rules():
        if np.isfinite(rule.high_c):
            continue
        shorter = replace(rule, days=None if rule.days is None else 0.5)
        colder, hotter = (
            met(shorter, replace(steady(0.0, field.shape[0] - 1, 3), temperature_c=one))
            for one in (field, field + warmer)
        )
        assert (colder <= hotter).all(), rule.id


@given(temperatures)
def test_an_upper_bound_never_adds(field: np.ndarray) -> None:
    for low, high in ((55.0, 70.0), (40.0, 60.0)):
        bound = times.hours_within(field, low, high)
        assert (bound <= times.hours_within(field, low) + 1e-9).all()
        assert (times.longest(field, low, high) <= times.longest(field, low) + 1e-6).all()


def test_time_above_the_upper_bound_does_not_count_where_there_is_one() -> None:
    scorched = steady(80.0, 400)
    shares_met = {rule.id: scorched.share(met(rule, scorched)) for rule in load_rules()}
    assert shares_met["pfrp_turned"] == 1.0
    assert shares_met["organic_turned"] == shares_met["organic_vessel"] == 0.0


@pytest.mark.parametrize(
    ("rule_id", "temperature_c", "hours"),
    [
        ("pfrp_turned", 55.0, 360),
        ("pfrp_turned_in_a_row", 55.0, 360),
        ("organic_turned", 76.0, 360),
        ("pfrp_vessel", 55.0, 72),
        ("psrp", 56.0, 120),
        ("time_temperature", 55.0, 64),
        ("time_temperature", 70.0, 1),
        ("dose", 55.0, 64),
        ("dose", 60.0, 13),
    ],
)
def test_a_steady_heat_meets_a_rule_after_its_time_and_no_hour_sooner(
    rule_id: str, temperature_c: float, hours: int
) -> None:
    rule = next(rule for rule in load_rules() if rule.id == rule_id)
    assert met(rule, steady(temperature_c, hours)).all()
    if hours > 1:
        assert not met(rule, steady(temperature_c, hours - 1)).any()
    assert not met(rule, steady(rule.low_c - 0.1, 2000)).any()


def test_a_broken_spell_counts_in_all_but_not_in_a_row() -> None:
    field = np.full((400, 1), 60.0)
    field[200] = 54.0
    assert times.hours_within(field, 55.0).sum() == pytest.approx(399.0 - 2.0 / 6.0)
    assert times.longest(field, 55.0)[0] == pytest.approx(199.0 + 5.0 / 6.0)


def test_a_warm_spell_wants_its_heat_within_its_days() -> None:
    field = np.full((300, 2), 45.0)
    field[100:105, 0] = 60.0  # five readings, four whole hours and two parts
    field[100:103, 1] = 60.0
    warm = times.warm_spell_with_heat(field, 40.0, 120, 55.0, 4.0)
    assert warm.tolist() == [True, False]
    far = np.full((300, 1), 45.0)
    far[50:53], far[200:203] = 60.0, 60.0  # hours enough in all, too few within any five days
    assert not times.warm_spell_with_heat(far, 40.0, 120, 55.0, 4.0).any()
    assert times.warm_spell_with_heat(far, 40.0, 160, 55.0, 4.0).all()
    field[110, 0], field[220, 0] = 30.0, 30.0  # now only 110 hours on end have the heat in them
    assert not times.warm_spell_with_heat(field, 40.0, 120, 55.0, 4.0)[0]


def test_a_parcel_counts_only_from_when_it_came_in() -> None:
    field = np.full((101, 1), 60.0)
    field[:51] = np.nan
    assert times.hours_within(field, 55.0).sum() == pytest.approx(49.0)
    assert times.longest(field, 55.0)[0] == pytest.approx(49.0, abs=1e-6)
    assert times.longest_below(field, 70.0)[0] == 49.0


def test_turnings_count_only_between_hot_hours() -> None:
    field = np.full((400, 1), 60.0)
    field[:48], field[300:] = 30.0, 30.0
    field[100:120] = 45.0
    parcels = replace(steady(0.0, 399), temperature_c=field)
    rules = {rule.id: rule for rule in load_rules()}
    turns = (10, 70, 110, 200, 350)
    assert turnings_in_hot_period(rules["pfrp_turned"], parcels, turns) == 3
    early = replace(parcels, temperature_c=field[::-1].copy())  # the longest spell comes first
    assert turnings_in_hot_period(rules["pfrp_turned_in_a_row"], early, (150, 250, 320)) == 2
    assert turnings_in_hot_period(rules["pfrp_turned_in_a_row"], parcels, turns) == 1
    assert turnings_in_hot_period(rules["pfrp_turned"], steady(30.0, 99), turns) == 0


def test_shares_of_a_heap_are_shares_and_stricter_counting_is_never_more() -> None:
    run = a_run(12, TURNED)
    told = {one.rule_id: one for one in shares(run, 28.0, (72, 144), chance())}
    assert list(told) == [rule.id for rule in load_rules()]
    assert all(0.0 <= one.share <= 1.0 for one in told.values())
    assert told["pfrp_turned_in_a_row"].share <= told["pfrp_turned"].share
    assert told["organic_turned"].share <= told["pfrp_turned"].share + 0.02
    assert told["time_temperature"].share <= told["dose"].share + 0.02
    assert told["psrp"].share > 0.3
    assert told["organic_turned"].start_fits is True
    assert told["psrp"].start_fits is None


@pytest.mark.parametrize(
    ("c_to_n", "fits"), [(None, None), (24.9, False), (25.0, True), (40.0, True), (41.0, False)]
)
def test_the_start_is_judged_apart_from_the_heat(c_to_n: float | None, fits: bool | None) -> None:
    for one in shares(TWO_DAYS, c_to_n, (), chance(), 50):
        assert one.start_fits is (fits if one.rule_id.startswith("organic") else None)


def test_a_cold_heap_meets_nothing() -> None:
    run = simulate(PALLET_BIN, fill(0.9, fast=0.0, medium=0.02), weather(20, 5.0))
    assert all(one.share == 0.0 for one in shares(run, 30.0, (), chance()))


def test_dry_heat_never_counts_for_more_than_any_heat() -> None:
    parcels = follow(a_run(12, TURNED), chance(), 300)
    for finding in load_evidence():
        any_heat, moist = (share_through(finding, parcels, moist=m) for m in (False, True))
        if moist is not None:
            assert any_heat is not None and 0.0 <= moist <= any_heat <= 1.0
    dry = replace(steady(60.0, 1000), moisture=np.full((1001, 1), 0.2))
    weeds = next(row for row in load_evidence() if row.id == "seeds_four_weeks")
    assert (share_through(weeds, dry), share_through(weeds, dry, moist=True)) == (1.0, 0.0)


def test_one_peak_is_not_enough_for_what_wants_days() -> None:
    field = np.full((600, 1), 30.0)
    field[10] = 72.0
    peaked = replace(steady(0.0, 599), temperature_c=field)
    through = {row.id: share_through(row, peaked) for row in load_evidence()}
    assert through["disease_most"] == 1.0  # a peak, and 24 days in the heap
    assert through["seeds_two_weeks"] == 0.0
    assert through["flies"] == 0.0
    young = replace(peaked, hours=399)
    assert share_through(next(r for r in load_evidence() if r.id == "disease_most"), young) == 0.0


def test_flies_want_heat_at_least_every_nine_days() -> None:
    field = np.full((481, 1), 30.0)
    field[::200] = 50.0
    flies = next(row for row in load_evidence() if row.id == "flies")
    assert share_through(flies, replace(steady(0.0, 480), temperature_c=field)) == 1.0
    field[200] = 30.0
    assert share_through(flies, replace(steady(0.0, 480), temperature_c=field)) == 0.0
    assert share_through(flies, steady(30.0, 215)) is None  # too young to say


def test_a_history_that_ends_with_the_warmth_gives_the_same_answers() -> None:
    late = HeapAction(38.0 * DAY, ActionKind.ADD, fill=fill(0.02, fast=0.0, medium=0.0))
    run = a_run(40, (*TURNED, late))
    whole = follow(run, chance(), 300)
    short = follow(run, chance(), 300, cold_c=coldest_counted_c())
    assert short.temperature_c.shape[0] < 37 * DAY < whole.temperature_c.shape[0]
    assert np.isnan(short.temperature_c[:, -1]).all()
    for rule in load_rules():
        assert np.array_equal(met(rule, short), met(rule, whole)), rule.id
        assert turnings_in_hot_period(rule, short, (72, 144)) == turnings_in_hot_period(
            rule, whole, (72, 144)
        )
    for finding in load_evidence():
        assert share_through(finding, short) == share_through(finding, whole), finding.id


def test_every_rule_is_counted_in_a_known_way() -> None:
    assert {rule.counting for rule in load_rules()} == set(Counting)
