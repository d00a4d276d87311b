"""Overlapping rain reports made into hours: each drop once, none lost, none invented."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from heapwright.weather.rain import looks_like_tenths_of_mm, unfold_rain

HOURLY = st.sampled_from([24, 48]).flatmap(
    lambda hours: st.lists(st.floats(0, 20), min_size=hours, max_size=hours)
)


@given(HOURLY, st.sets(st.sampled_from([3, 6, 24]), min_size=1))
def test_nested_reports_give_the_true_total(hours: list[float], periods: set[int]) -> None:
    """Report a known rain as stations do, at the end of 3, 6 and 24 hours; get its total back."""
    rain = np.array(hours)
    amount, period = np.full(rain.size, np.nan), np.full(rain.size, np.nan)
    for length in sorted(periods):
        for end in range(length - 1, rain.size, length):
            amount[end], period[end] = rain[end - length + 1 : end + 1].sum(), length
    unfolded = unfold_rain(amount, period)
    assert np.isfinite(unfolded).all()
    np.testing.assert_allclose(unfolded.sum(), rain.sum(), atol=1e-9)


def test_a_longer_report_adds_only_what_the_shorter_left_over() -> None:
    amount = np.array([np.nan, np.nan, 13.0, np.nan, np.nan, 15.0])
    period = np.array([np.nan, np.nan, 3.0, np.nan, np.nan, 6.0])
    np.testing.assert_allclose(unfold_rain(amount, period), [13 / 3] * 3 + [2 / 3] * 3)


def test_a_repeated_amount_is_not_counted_again() -> None:
    """Seen at Tucson: 13 mm over 3 hours, then 13 mm over the 6 hours that end 3 hours later."""
    amount = np.array([np.nan, np.nan, 13.0, np.nan, np.nan, 13.0])
    period = np.array([np.nan, np.nan, 3.0, np.nan, np.nan, 6.0])
    assert unfold_rain(amount, period).sum() == 13.0


def test_hours_nobody_reported_on_stay_unknown() -> None:
    unfolded = unfold_rain(np.array([np.nan, 2.0, np.nan]), np.array([np.nan, 1.0, np.nan]))
    np.testing.assert_array_equal(np.isnan(unfolded), [True, False, True])


@given(st.lists(st.integers(1, 200), min_size=40, max_size=60))
def test_hundredths_of_an_inch_in_tenths_of_a_millimetre_are_known(hundredths: list[int]) -> None:
    written = np.round(np.array(hundredths) * 2.54)
    assert looks_like_tenths_of_mm(written)


def test_plain_millimetres_are_left_alone() -> None:
    assert not looks_like_tenths_of_mm(np.arange(1.0, 60.0))
    assert not looks_like_tenths_of_mm(np.array([3.0, 5.0, 8.0]))
    assert not looks_like_tenths_of_mm(np.round(np.arange(1, 60) * 0.254, 1))
