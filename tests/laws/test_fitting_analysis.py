"""The step towards an observation against the closed forms of two bell curves, and its bounds."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from heapwright.errors import OutOfRange
from heapwright.fitting.analysis import carried_over, step_towards

SEEDS = st.integers(0, 2**31)
FAR = 1e9  # a limit on surprise that never bites


def _members(seed: int, count: int = 40, mean: float = 50.0, sd: float = 6.0) -> np.ndarray:
    return np.random.default_rng(seed).normal(mean, sd, count)


@given(seed=SEEDS, observed=st.floats(20, 80), error=st.floats(0.5, 10))
def test_members_get_the_mean_and_spread_of_two_bell_curves_multiplied(
    seed: int, observed: float, error: float
) -> None:
    """Product of two normal densities, worked out on a fine grid with SciPy's densities."""
    members = _members(seed)
    step = step_towards(members, observed, error, most_surprise=FAR)
    after = members + step.change
    grid = np.linspace(-100, 200, 300_001)
    density = stats.norm.pdf(grid, members.mean(), members.std(ddof=1)) * stats.norm.pdf(
        grid, observed, error
    )
    density /= density.sum()
    mean = float((grid * density).sum())
    sd = float(np.sqrt((np.square(grid - mean) * density).sum()))
    assert after.mean() == pytest.approx(mean, abs=2e-3)
    assert after.std(ddof=1) == pytest.approx(sd, rel=1e-3)
    assert step.trust == 1.0


@given(seed=SEEDS, observed=st.floats(-500, 500), error=st.floats(0.5, 10))
def test_a_wrong_reading_moves_the_mean_by_a_bounded_amount(
    seed: int, observed: float, error: float
) -> None:
    members, limit = _members(seed), 2.5
    step = step_towards(members, observed, error, most_surprise=limit)
    spread = float(members.std(ddof=1))
    # The shift is surprise x spread^2 / sqrt(spread^2 + error^2), and the surprise is capped.
    assert abs(step.change.mean()) <= limit * spread + 1e-9
    assert (step.trust < 1.0) == (abs(step.surprise) > limit)


@given(seed=SEEDS, slope=st.floats(-3, 3).filter(lambda x: abs(x) > 0.01))
def test_what_hangs_on_the_observation_moves_with_it(seed: int, slope: float) -> None:
    members = _members(seed)
    step = step_towards(members, 60.0, 2.0, most_surprise=FAR)
    moved = carried_over(members, step.change, (7.0 + slope * members)[:, None])
    np.testing.assert_allclose(moved[:, 0], slope * step.change, rtol=1e-6, atol=1e-9)


def test_what_has_nothing_to_do_with_it_hardly_moves_on_average() -> None:
    """Taking off what chance gives must at least halve the movement of unrelated values."""
    ratios = []
    for seed in range(200):
        rng = np.random.default_rng(seed)
        members, other = rng.normal(50, 6, 40), rng.normal(0, 1, (40, 20))
        step = step_towards(members, 62.0, 2.0, most_surprise=FAR)
        moved = carried_over(members, step.change, other).mean(axis=0)
        around = members - members.mean()
        plain = (around @ (other - other.mean(axis=0)) / (around @ around)) * step.change.mean()
        ratios.append(np.square(moved).mean() / np.square(plain).mean())
    assert np.mean(ratios) < 0.5


@given(seed=SEEDS, order=st.permutations(list(range(40))))
def test_members_may_stand_in_any_order(seed: int, order: list[int]) -> None:
    members = _members(seed)
    one = step_towards(members, 55.0, 3.0, most_surprise=2.0)
    other = step_towards(members[order], 55.0, 3.0, most_surprise=2.0)
    np.testing.assert_allclose(other.change, one.change[order], atol=1e-9)


def test_members_that_all_agree_learn_nothing() -> None:
    step = step_towards(np.full(10, 40.0), 60.0, 2.0, most_surprise=3.0)
    assert (step.change == 0.0).all() and step.surprise == pytest.approx(10.0)
    assert (carried_over(np.full(10, 40.0), step.change, np.arange(10.0)[:, None]) == 0).all()


@pytest.mark.parametrize(
    "members, observed, error",
    [(np.ones(2), 1.0, 1.0), (np.ones(9), np.nan, 1.0), (np.ones(9), 1.0, 0.0)],
)
def test_what_cannot_be_compared_is_refused(
    members: np.ndarray, observed: float, error: float
) -> None:
    with pytest.raises(OutOfRange):
        step_towards(members, observed, error, most_surprise=3.0)
