"""What must hold when the model's misses are carried along."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heapwright.errors import OutOfRange
from heapwright.fitting.carry import carried

HOURS = 96


def _case(seed: int, count: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    rng = np.random.default_rng(seed)
    predicted = rng.uniform(20.0, 70.0, (HOURS, 5))
    at = np.sort(rng.choice(np.arange(1, 60), count, replace=False)).astype(float)
    return predicted, at, rng.uniform(20.0, 70.0, count)


@given(st.integers(0, 999), st.integers(1, 6))
def test_with_full_gain_every_member_passes_through_every_reading(seed: int, count: int) -> None:
    predicted, at, observed = _case(seed, count)
    drawn = carried(predicted, at, observed, gain=1.0, carry_hours=48.0)
    np.testing.assert_allclose(drawn[at.astype(int)], np.tile(observed[:, None], (1, 5)))


@given(st.integers(0, 999), st.integers(1, 6), st.floats(0.0, 1.0))
def test_a_reading_never_moves_a_member_past_itself(seed: int, count: int, gain: float) -> None:
    predicted, at, observed = _case(seed, count)
    drawn = carried(predicted, at, observed, gain=gain, carry_hours=48.0)
    index = at.astype(int)
    before = np.abs(predicted[index] - observed[:, None])
    after = np.abs(drawn[index] - observed[:, None])
    assert (after <= before + 1e-9).all()


def test_the_last_miss_decays_with_its_time_constant() -> None:
    predicted = np.full((HOURS, 1), 50.0)
    drawn = carried(predicted, np.array([40.0]), np.array([60.0]), gain=0.5, carry_hours=20.0)
    np.testing.assert_allclose(drawn[60, 0] - 50.0, 5.0 * np.exp(-1.0))
    np.testing.assert_allclose(drawn[20, 0] - 50.0, 2.5)


def test_without_readings_or_gain_nothing_moves() -> None:
    predicted, at, observed = _case(1, 3)
    none = np.zeros(0)
    np.testing.assert_array_equal(
        carried(predicted, none, none, gain=1.0, carry_hours=48.0), predicted
    )
    np.testing.assert_allclose(
        carried(predicted, at, observed, gain=0.0, carry_hours=48.0), predicted
    )


@pytest.mark.parametrize(("gain", "hours"), [(1.2, 48.0), (-0.1, 48.0), (0.5, 0.0)])
def test_a_gain_or_time_that_cannot_be_is_refused(gain: float, hours: float) -> None:
    predicted, at, observed = _case(1, 3)
    with pytest.raises(OutOfRange):
        carried(predicted, at, observed, gain=gain, carry_hours=hours)
