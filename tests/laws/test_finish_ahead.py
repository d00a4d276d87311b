"""Laws of looking ahead: slower is never sooner, mass never grows, ranges are in order."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heapwright.errors import OutOfRange
from heapwright.finish.dates import (
    cured_in_days,
    day_range,
    days_until_spent,
    middle_eight_in_ten,
    spread_over,
)
from heapwright.finish.guides import limits
from heapwright.finish.outcome import (
    finished_dry_kg,
    finished_volume_m3,
    finished_wet_kg,
    shrunk_volume_m3,
)
from heapwright.finish.reheating import AfterTurn, judge_reheating
from heapwright.finish.types import Verdict
from heapwright.tables import Estimate

shares = st.floats(0.01, 1.0)
paces = st.floats(0.0, 0.2)
MEMBERS = 7
HOURS = np.arange(0, 15 * 24 + 1, dtype=np.float64)


def decaying(start: float, pace: float) -> np.ndarray:
    """Shares left hour by hour of members that decay by a first-order pace a day."""
    return np.repeat((start * np.exp(-pace * HOURS / 24))[:, None], MEMBERS, axis=1)


def spent_in(left: np.ndarray, now: int, spent: float, slowing: float = 1.0) -> np.ndarray:
    return days_until_spent(left, now, np.full(MEMBERS, spent), np.full(MEMBERS, slowing))


@given(shares, st.floats(0.005, 0.2), st.floats(0.02, 0.5), st.integers(0, 15 * 24))
def test_a_first_order_heap_is_spent_when_the_exponential_says(
    start: float, pace: float, spent: float, now: int
) -> None:
    left = start * np.exp(-pace * now / 24)
    exact = max(0.0, np.log(left / spent) / pace)
    found = spent_in(decaying(start, pace), now, spent)
    # Read from an hourly run the hour is rounded up; beyond it the line is exact. At the very end
    # of the run no pace can be read.
    if now == HOURS.size - 1 and exact > 0:
        assert np.all(np.isinf(found))
    else:
        assert np.all((found >= exact - 1e-6) & (found <= exact + 1.0 / 24 + 1e-6))


@given(shares, paces, st.floats(0.02, 0.4), st.floats(1.0, 3.0))
def test_slower_decay_and_a_stricter_end_are_never_sooner(
    start: float, pace: float, spent: float, slowing: float
) -> None:
    left = decaying(start, pace)
    plain = spent_in(left, 24, spent)
    assert np.all(spent_in(left, 24, spent, slowing) >= plain)
    assert np.all(spent_in(left, 24, spent * 0.5) >= plain)
    assert np.all(spent_in(decaying(start, pace * 0.5), 24, spent) >= plain)


def test_a_heap_that_stands_still_is_never_spent() -> None:
    assert np.all(np.isinf(spent_in(decaying(0.8, 0.0), 24, 0.2)))


@pytest.mark.parametrize("now", [-1, HOURS.size])
def test_now_must_lie_within_the_run(now: int) -> None:
    with pytest.raises(OutOfRange, match="must lie within"):
        spent_in(decaying(0.8, 0.1), now, 0.2)


@given(
    st.tuples(st.floats(0.0, 10.0), st.floats(0.0, 10.0), st.floats(0.0, 10.0)).map(sorted),
    st.integers(1, 60),
    st.integers(0, 6),
)
def test_values_are_spread_evenly_over_their_range(
    ends: list[float], members: int, turn: int
) -> None:
    low, typical, high = ends
    values = spread_over(Estimate(low, typical, high), members, turn)
    assert np.all((values >= low) & (values <= high))
    assert abs(int(np.sum(values < typical)) - int(np.sum(values > typical))) <= members
    if low < typical < high and members > 1:
        assert abs(2 * int(np.sum(values < typical)) - members) <= 1


@given(st.lists(st.floats(-200.0, 400.0), min_size=1, max_size=50))
def test_curing_comes_after_the_hot_work_and_within_its_range(ends: list[float]) -> None:
    hot = np.array(ends)
    cure = limits()["cure_days"]
    cured = cured_in_days(hot, cure)
    assert np.all((cured >= hot + cure.low - 1e-9) & (cured <= hot + cure.high + 1e-9))
    low, likely, high = middle_eight_in_ten(cured)
    assert cured.min() <= low <= likely <= high <= cured.max()


@given(st.lists(st.floats(-100.0, 900.0), min_size=3, max_size=3), st.floats(0.0, 30.0))
def test_days_are_told_in_order_never_before_now_and_never_beyond_a_year(
    three: list[float], not_before: float
) -> None:
    found = day_range(*sorted(three), not_before=not_before)
    told = [found.low, found.likely, found.high]
    known = [one for one in told if one is not None]
    assert known == sorted(known)
    assert all(not_before <= one <= 365.0 for one in known)
    assert told[len(known) :] == [None] * (3 - len(known))


members = st.integers(1, 40)


@given(
    st.floats(1.0, 500.0), st.floats(0.0, 0.95), st.lists(shares, min_size=1, max_size=30), shares
)
def test_dry_mass_never_grows_and_what_cannot_rot_stays(
    dry: float, degradable: float, left: list[float], end: float
) -> None:
    now = np.full(len(left), dry)
    found = finished_dry_kg(now, degradable, np.array(left), np.full(len(left), end))
    assert np.all(found <= now * (1 + 1e-12))
    assert np.all(found >= now * (1.0 - degradable) * (1 - 1e-12))
    again = finished_dry_kg(found, degradable, np.minimum(left, end), np.full(len(left), end))
    assert again == pytest.approx(found)


@pytest.mark.parametrize("share", [-0.1, 1.0, 2.0])
def test_a_heap_of_nothing_but_what_rots_is_refused(share: float) -> None:
    with pytest.raises(OutOfRange, match="between 0 and 1"):
        finished_dry_kg(np.ones(3), share, np.ones(3), np.ones(3))


@given(st.floats(1.0, 500.0), members)
def test_volume_and_mass_lie_between_the_published_ends(dry: float, count: int) -> None:
    wet = finished_wet_kg(np.full(count, dry))
    assert np.all((wet >= dry / 0.6 - 1e-9) & (wet <= dry / 0.5 + 1e-9))
    volume = finished_volume_m3(wet)
    assert np.all((wet / volume >= 593.0 - 1e-6) & (wet / volume <= 801.0 + 1e-6))
    left = shrunk_volume_m3(np.full(count, dry)) / dry
    assert np.all((left >= 0.25) & (left <= 0.5))


readings = st.lists(st.tuples(st.floats(0.1, 400.0), st.floats(-5.0, 80.0)), max_size=6).map(tuple)


@given(
    st.floats(1.0, 500.0),
    readings,
    st.one_of(st.none(), st.floats(-10.0, 35.0)),
    st.sampled_from(["", "dusty", "dry", "drops", "dripping"]),
    st.one_of(st.none(), st.floats(0.1, 0.9)),
)
def test_reheating_never_passes_without_what_it_needs(
    since: float,
    read: tuple[tuple[float, float], ...],
    air: float | None,
    squeeze: str,
    moisture: float | None,
) -> None:
    past = tuple(one for one in read if one[0] <= since)
    judged = judge_reheating(AfterTurn(since, past, air, squeeze, moisture, 0.5))
    if judged.verdict is Verdict.PASSED:
        assert air is not None
        assert squeeze == "drops" or (squeeze == "" and moisture is not None)
        assert any(72.0 <= hours <= 168.0 for hours, _ in past)
        assert all(celsius < 43.3 for _, celsius in past)
    hotter = (*past, (since, 50.0))
    judged = judge_reheating(AfterTurn(since, hotter, air, squeeze, moisture, 0.5))
    assert judged.verdict is Verdict.NOT_YET
