"""Statistics of few heaps: against published examples, against scipy, and their own laws."""

from __future__ import annotations

import itertools
from importlib import import_module

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from heapwright.errors import OutOfRange
from heapwright.season.between import Between, middle
from heapwright.season.compared import holm, pairs
from heapwright.season.shift import shift

exactly = Between.exactly
NUMBERS = st.integers(-20, 20).map(float)
BOUNDS = st.tuples(NUMBERS, st.one_of(st.none(), st.integers(0, 9).map(float))).map(
    lambda it: Between(it[0], None if it[1] is None else it[0] + it[1])
)

# Hollander and Wolfe 1973, table 8.1, tuna: lightness of nine lots and what a panel said of them.
# From memory of R's own example of `cor.test`: T = 26, tau = 0.444, one-sided p = 0.05972.
TUNA_LIGHTNESS = [44.4, 45.9, 41.9, 53.3, 44.7, 44.1, 50.7, 45.2, 60.1]
TUNA_PANEL = [2.6, 3.1, 2.5, 5.0, 3.6, 4.0, 5.2, 2.8, 3.8]
# Hollander and Wolfe 1973, table 4.1, permeability at term and at 12 to 26 weeks. From memory of
# R's own example of `wilcox.test`: W = 35, p = 0.2544 two-sided, shift 0.305, interval
# -0.15 to 0.76 at a wish of 95 %.
AT_TERM = [0.80, 0.83, 1.89, 1.04, 1.45, 1.38, 1.91, 1.64, 0.73, 1.46]
EARLY = [1.15, 0.88, 0.90, 0.74, 1.21]


def test_the_tuna_of_hollander_and_wolfe() -> None:
    found = pairs(TUNA_LIGHTNESS, [exactly(one) for one in TUNA_PANEL])
    assert (found.agree, found.against, found.undecided) == (26, 10, 0)
    assert found.leaning == pytest.approx(0.4444, abs=1e-4)
    assert found.chance == pytest.approx(2 * 0.05972, abs=2e-5)
    assert found.is_exact


def test_fishers_lady_tasting_tea() -> None:
    """Three of four cups right: 17 of the 70 ways do as well, both sides 34 (Fisher 1935, ch. II).

    From memory; the 70 ways and the 17 follow from counting.
    """
    found = shift([1, 1, 1, 0], [0, 0, 0, 1])
    assert found.is_exact and found.chance == pytest.approx(34 / 70)
    assert found.least_chance == pytest.approx(2 / 70)
    assert found.chance == pytest.approx(stats.fisher_exact([[3, 1], [1, 3]]).pvalue)


def test_the_permeability_of_hollander_and_wolfe(monkeypatch: pytest.MonkeyPatch) -> None:
    ours = import_module("heapwright.season.shift")
    before = ours.settings()
    monkeypatch.setattr(ours, "settings", lambda: before | {"shift_covers": 0.95})
    found = shift(AT_TERM, EARLY)
    assert found.likely == pytest.approx(0.305)
    assert (found.low, found.high) == pytest.approx((-0.15, 0.76))
    assert found.covers >= 0.95


def test_mann_and_whitneys_count_is_scipys() -> None:
    from heapwright.season.shift import _rank_counts

    rng = np.random.default_rng(3)
    for first, second in ((3, 4), (5, 5), (10, 5)):
        one, other = rng.normal(size=first), rng.normal(size=second)
        count = int((one[:, None] > other[None, :]).sum())
        ours = float(_rank_counts(first, second)[: count + 1].sum())
        told = stats.mannwhitneyu(one, other, alternative="less", method="exact")
        assert ours == pytest.approx(told.pvalue)


@given(
    st.lists(
        st.tuples(NUMBERS, NUMBERS),
        min_size=3,
        max_size=7,
        unique_by=(lambda it: it[0], lambda it: it[1]),
    )
)
def test_without_ties_pairs_are_kendalls_tau_exactly(rows: list[tuple[float, float]]) -> None:
    first, second = zip(*rows, strict=True)
    found = pairs(first, [exactly(one) for one in second])
    told = stats.kendalltau(first, second, method="exact")
    assert found.leaning == pytest.approx(told.statistic)
    assert found.chance == pytest.approx(told.pvalue)


@given(st.lists(st.tuples(NUMBERS, BOUNDS), min_size=2, max_size=5))
def test_with_ties_and_bounds_every_order_is_counted(rows: list[tuple[float, Between]]) -> None:
    choices, outcomes = zip(*rows, strict=True)
    found = pairs(choices, outcomes)

    def lean(order: tuple[float, ...]) -> int:
        total = 0
        for i, j in itertools.combinations(range(len(order)), 2):
            later = outcomes[i].is_surely_more_than(outcomes[j])
            sooner = outcomes[j].is_surely_more_than(outcomes[i])
            total += int(np.sign(order[i] - order[j])) * (int(later) - int(sooner))
        return total

    leans = [abs(lean(order)) for order in itertools.permutations(choices)]
    seen = abs(found.agree - found.against)
    assert seen == abs(lean(choices))
    assert found.chance == pytest.approx(np.mean([one >= seen for one in leans]))
    assert found.least_chance == pytest.approx(np.mean([one == max(leans) for one in leans]))
    assert found.agree + found.against + found.undecided == len(choices) * (len(choices) - 1) // 2


@given(st.lists(st.tuples(NUMBERS, BOUNDS), min_size=2, max_size=5))
def test_turned_round_the_pairs_turn_round(rows: list[tuple[float, Between]]) -> None:
    choices, outcomes = zip(*rows, strict=True)
    one, other = pairs(choices, outcomes), pairs([-it for it in choices], outcomes)
    assert (one.agree, one.against) == (other.against, other.agree)
    assert one.chance == pytest.approx(other.chance)


def test_drawn_orders_come_near_to_all_of_them() -> None:
    """Ten heaps of which two are equal are drawn, not counted; a plain shuffle says the same."""
    first = np.array([1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 9.0])
    second = np.array([5.0, 1.0, 7.0, 3.0, 2.0, 9.0, 4.0, 6.0, 10.0, 8.0])
    found = pairs(first.tolist(), [exactly(one) for one in second])
    assert not found.is_exact
    rng = np.random.default_rng(7)
    seen = stats.kendalltau(first, second).statistic
    shuffled = [stats.kendalltau(rng.permutation(first), second).statistic for _ in range(2000)]
    again = float((np.abs(shuffled) >= abs(seen) - 1e-9).mean())
    assert found.chance == pytest.approx(again, abs=0.03)


def test_numbers_that_overlap_are_not_compared() -> None:
    assert Between(3, 7).is_surely_more_than(exactly(3))
    assert Between(3, 7).is_surely_more_than(Between(1, 3))
    assert not Between(3, 7).is_surely_more_than(Between(2, 4))
    assert not exactly(3).is_surely_more_than(Between(1, 3))
    assert Between(9, None).is_surely_more_than(exactly(8))
    assert not Between(9, None).is_surely_more_than(Between(1, None))


def test_few_heaps_cannot_be_clear_however_they_lie() -> None:
    for count, least in ((3, 2 / 6), (4, 2 / 24), (5, 2 / 120)):
        found = pairs(range(count), [exactly(one) for one in range(count)])
        assert found.chance == found.least_chance == pytest.approx(least)


@given(st.lists(BOUNDS, min_size=1, max_size=9), st.data())
def test_the_middle_holds_whatever_the_numbers_are_within_their_bounds(
    values: list[Between], data: st.DataObject
) -> None:
    drawn = [
        data.draw(st.floats(one.low, one.low + 50 if one.high is None else one.high))
        for one in values
    ]
    found = middle(values)
    assert found.low <= float(np.median(drawn)) + 1e-9
    assert found.high is None or float(np.median(drawn)) <= found.high + 1e-9
    assert found.least <= min(drawn)


def test_the_range_of_five_holds_the_middle_in_fifteen_of_sixteen() -> None:
    """Order statistics: all five on one side of the median in 2 of 32 cases (from memory)."""
    assert middle([exactly(one) for one in range(5)]).covers == pytest.approx(15 / 16)
    rng = np.random.default_rng(1)
    drawn = rng.exponential(size=(20_000, 5))
    holds = (drawn.min(axis=1) < np.log(2)) & (drawn.max(axis=1) > np.log(2))
    assert holds.mean() == pytest.approx(15 / 16, abs=0.01)


@given(st.lists(NUMBERS, min_size=2, max_size=4), st.lists(NUMBERS, min_size=2, max_size=4))
def test_a_splits_chance_is_scipys_permutation_test(
    first: list[float], second: list[float]
) -> None:
    found = shift(first, second)
    told = stats.permutation_test(
        (np.array(first), np.array(second)),
        lambda one, other, axis: one.mean(axis=axis) - other.mean(axis=axis),
        vectorized=True,
        n_resamples=np.inf,
        alternative="greater",
    )
    # Our two sides are counted together; scipy's is twice the nearer one, so compare by hand.
    gaps = np.abs(told.null_distribution)
    assert found.chance == pytest.approx(float((gaps >= abs(told.statistic) - 1e-9).mean()))
    assert found.low <= found.likely <= found.high
    assert 0.0 <= found.covers <= 1.0


def test_holms_own_steps() -> None:
    """Worked by hand from Holm's rule: 0.01 x 4, 0.02 x 3, 0.03 x 2, and never falling."""
    assert holm([0.02, 0.5, 0.01, 0.03]) == pytest.approx((0.06, 0.5, 0.04, 0.06))
    assert holm([]) == ()


@given(st.lists(st.floats(0, 1), min_size=1, max_size=12))
def test_corrected_chances_are_never_smaller_nor_more_than_bonferronis(given_: list[float]) -> None:
    for before, after in zip(given_, holm(given_), strict=True):
        assert before <= after <= min(1.0, before * len(given_)) + 1e-12 or after == max(
            holm(given_)
        )


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(OutOfRange):
        Between(4, 3)
    with pytest.raises(OutOfRange):
        middle([])
    with pytest.raises(OutOfRange):
        pairs([1.0], [exactly(1)])
    with pytest.raises(OutOfRange):
        shift([], [1.0])
