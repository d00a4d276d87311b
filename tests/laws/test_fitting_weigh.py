"""What must hold of member weights and weighted quantiles whatever the numbers."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heapwright.errors import OutOfRange
from heapwright.fitting.weigh import misfit_outside, weigh_members, weighted_quantiles

SETTINGS = {"error_sd_c": 4.0, "least_members": 10.0, "doubtful_sds": 4.0}
LEVELS = np.array([0.1, 0.5, 0.9])


def _ensemble(seed: int, readings: int = 6, members: int = 40) -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(seed)
    truth = rng.uniform(20.0, 70.0, readings)
    return truth[:, None] + rng.normal(0.0, 8.0, (readings, members)), truth


@given(st.integers(0, 10_000))
def test_weights_are_shares_of_one_and_enough_members_count(seed: int) -> None:
    predicted, observed = _ensemble(seed)
    weights = weigh_members(predicted, observed, **SETTINGS)
    assert weights.weight.sum() == pytest.approx(1.0)
    assert (weights.weight >= 0).all()
    assert weights.effective_members >= 10.0 - 1e-6
    assert 0.0 <= weights.temper <= 1.0


@given(st.integers(0, 10_000))
def test_weighted_mean_moves_towards_the_readings(seed: int) -> None:
    predicted, observed = _ensemble(seed)
    predicted = predicted + 6.0  # a biased ensemble
    weights = weigh_members(predicted, observed, **SETTINGS)
    before = np.abs(predicted.mean(axis=1) - observed).mean()
    after = np.abs(predicted @ weights.weight - observed).mean()
    assert after < before


def test_untempered_weights_match_the_gaussian_likelihood() -> None:
    predicted = np.array([[50.0, 52.0, 56.0]])
    weights = weigh_members(
        predicted, np.array([50.0]), error_sd_c=4.0, least_members=1.0, doubtful_sds=9.0
    )
    expected = np.exp(-0.5 * np.square(np.array([0.0, 2.0, 6.0]) / 4.0))
    np.testing.assert_allclose(weights.weight, expected / expected.sum())


def test_a_reading_far_from_every_member_is_named_and_not_counted() -> None:
    predicted, observed = _ensemble(3)
    wrong = np.append(observed, 150.0)
    padded = np.vstack([predicted, predicted[-1]])
    with_wrong = weigh_members(padded, wrong, **SETTINGS)
    without = weigh_members(predicted, observed, **SETTINGS)
    assert with_wrong.doubtful == (6,)
    np.testing.assert_allclose(with_wrong.weight, without.weight)


def test_without_readings_all_members_count_alike() -> None:
    weights = weigh_members(np.zeros((0, 8)), np.zeros(0), **SETTINGS)
    np.testing.assert_allclose(weights.weight, 1 / 8)


@given(st.integers(0, 10_000), st.integers(2, 30))
def test_equal_weights_give_ordered_quantiles_inside_the_members(seed: int, members: int) -> None:
    values = np.random.default_rng(seed).normal(size=(5, members))
    low, middle, high = weighted_quantiles(values, np.full(members, 1 / members), LEVELS)
    assert (low <= middle).all() and (middle <= high).all()
    assert (low >= values.min(axis=1)).all() and (high <= values.max(axis=1)).all()


def test_equal_weights_match_numpy_quantiles() -> None:
    values = np.random.default_rng(5).normal(size=(4, 101))
    ours = weighted_quantiles(values, np.full(101, 1 / 101), LEVELS)
    theirs = np.quantile(values, LEVELS, axis=1, method="hazen")
    np.testing.assert_allclose(ours, theirs)


def test_inside_the_interval_a_hand_test_takes_nothing_away() -> None:
    misfit = misfit_outside(np.array([0.45, 0.55, 0.65]), 0.5, 0.6, 0.05)
    np.testing.assert_allclose(misfit, [0.5, 0.0, 0.5])


@pytest.mark.parametrize(
    ("predicted", "observed", "sd"),
    [
        (np.zeros((2, 3)), np.zeros(3), 1.0),
        (np.zeros((1, 0)), np.zeros(1), 1.0),
        (np.array([[np.nan]]), np.zeros(1), 1.0),
        (np.zeros((1, 2)), np.zeros(1), 0.0),
    ],
)
def test_what_cannot_be_weighed_is_refused(
    predicted: np.ndarray, observed: np.ndarray, sd: float
) -> None:
    with pytest.raises(OutOfRange):
        weigh_members(predicted, observed, error_sd_c=sd, least_members=2.0, doubtful_sds=4.0)
