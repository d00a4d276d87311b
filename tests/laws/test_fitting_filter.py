"""Following a heap: nothing seen is nothing changed, balances hold, pieces make the whole."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heapwright.fitting.beginning import begin, comb
from heapwright.fitting.doubt import Why, doubts
from heapwright.fitting.filter import follow
from heapwright.fitting.followed import Followed
from heapwright.fitting.observations import HeightSeen, MoistureSeen, Seen, TemperatureSeen
from heapwright.fitting.settings import filter_settings, with_unfollowed
from heapwright.heap.parameters import parameters_at, sample_deviations
from heapwright.heap.probe import probe_temperature, standing_temperature
from heapwright.heap.resume import FOLLOWING_STRIDE, built, go_on
from heapwright.heap.simulate import simulate
from heapwright.heap.types import ActionKind, BinShape, HeapAction
from tests.laws.heap_courses import fill, weather

DAYS, MEMBERS, DEPTH = 14, 64, 0.4
SHAPE = BinShape(0.95, 0.95, 0.95)
WEATHER = weather(DAYS, 15.0)
FILL = fill(0.8)
ACTIONS = (HeapAction(hour=170, kind=ActionKind.MOVE, water_kg=10.0),)
DEVIATIONS = sample_deviations(MEMBERS, np.random.default_rng(2))


def _fills() -> list:
    rng = np.random.default_rng(9)
    return [
        replace(
            FILL, moisture=float(rng.uniform(0.45, 0.68)), fast_share=float(rng.uniform(0.1, 0.3))
        )
        for _ in range(MEMBERS)
    ]


def _begun() -> Followed:
    """As built: no reading has chosen yet."""
    standing = built(SHAPE, _fills(), WEATHER, parameters_at(DEVIATIONS))
    table = replace(filter_settings(), members=float(MEMBERS))
    return begin(standing, DEVIATIONS, WEATHER, ACTIONS, [], probe_depth_m=DEPTH, settings=table)[0]


def _follow(
    followed: Followed, seen: list[Seen], until: int, known: list[Seen] | None = None
) -> Followed:
    return follow(
        followed,
        WEATHER,
        ACTIONS,
        seen,
        until,
        known=seen if known is None else known,
        probe_depth_m=DEPTH,
        settings=filter_settings(),
        seed=5,
    )


def _told(seen: list[Seen], until: int) -> Followed:
    """Begin and follow as the product does: the first readings choose."""
    standing = built(SHAPE, _fills(), WEATHER, parameters_at(DEVIATIONS))
    table = replace(filter_settings(), members=float(MEMBERS // 2))
    begun, used = begin(
        standing, DEVIATIONS, WEATHER, ACTIONS, seen, probe_depth_m=DEPTH, settings=table
    )
    return _follow(begun, seen[used:], until, seen)


def _reading(hour: int, value: float, error: float = 2.5, name: str = "") -> TemperatureSeen:
    return TemperatureSeen(hour, value, DEPTH, 0.0, error, name)


def test_nothing_seen_is_the_ensemble_as_it_was_drawn() -> None:
    run, _ = go_on(
        _begun().standing,
        WEATHER,
        24 * DAYS,
        ACTIONS,
        probe_depth_m=DEPTH,
        stride_hours=FOLLOWING_STRIDE,
    )
    alone = _follow(_begun(), [], 24 * DAYS)
    assert (alone.run.probe_c == run.probe_c).all() and alone.judged == ()


@settings(max_examples=6)
@given(
    values=st.lists(st.floats(5, 80), min_size=1, max_size=8),
    moisture=st.floats(0.2, 0.7),
    height=st.floats(0.4, 1.0),
)
def test_whatever_was_read_the_balances_hold_and_all_stays_possible(
    values: list[float], moisture: float, height: float
) -> None:
    """`go_on` raises BalanceBroken if dry mass, carbon, nitrogen, water or heat do not add up."""
    seen: list[Seen] = [_reading(20 + 24 * i, value) for i, value in enumerate(values)]
    seen.append(MoistureSeen(seen[-1].hour, moisture - 0.05, moisture + 0.05, 0.05))
    seen.append(HeightSeen(seen[-1].hour, height, 0.05))
    after = _follow(_begun(), seen, 24 * DAYS)
    cells = after.standing.state.cells
    assert np.isfinite(cells).all() and (cells[:, 1:6] >= 0).all()
    assert (after.run.degradable_left <= 1.0 + 1e-9).all()
    assert after.run.probe_c.shape == (24 * DAYS + 1, MEMBERS)


def test_followed_in_pieces_is_the_same_as_in_one() -> None:
    readings: list[Seen] = [_reading(24 * day, 60.0 - 2 * day) for day in range(1, 9)]
    whole = _follow(_begun(), readings, 240)
    first = _follow(_begun(), readings[:4], 0, readings)
    both = _follow(first, readings[4:], 240, readings)
    np.testing.assert_array_equal(both.run.probe_c, whole.run.probe_c)
    np.testing.assert_array_equal(both.deviations, whole.deviations)


def test_readings_draw_the_heap_to_them_and_narrow_its_band() -> None:
    truth = simulate(SHAPE, replace(FILL, fast_share=0.05, medium_share=0.2), WEATHER, ACTIONS)
    hidden = probe_temperature(truth, DEPTH)
    readings: list[Seen] = [_reading(24 * day, float(hidden[24 * day])) for day in range(1, 10)]
    told, untold = _told(readings, 216), _told([], 216)
    ahead = {}
    for name, one in (("told", told), ("untold", untold)):
        run, _ = go_on(one.standing, WEATHER, 24 * DAYS, ACTIONS, probe_depth_m=DEPTH)
        ahead[name] = run.probe_c
    miss = {name: np.abs(c.mean(axis=1) - hidden[216:]).mean() for name, c in ahead.items()}
    spread = {name: c.std(axis=1).mean() for name, c in ahead.items()}
    assert miss["told"] < 0.6 * miss["untold"] and spread["told"] < 0.7 * spread["untold"]


def test_a_heap_that_never_heats_is_followed_down() -> None:
    """The first readings look wrong one by one; together they are believed."""
    readings: list[Seen] = [_reading(24 * day, 16.0 + 0.3 * day) for day in range(1, 10)]
    told = _told(readings, 217)
    assert doubts(told.judged) == ()
    assert told.run.probe_c[217].mean() < 26.0


@pytest.mark.parametrize(
    "as_read, why",
    [
        (lambda c: (c - 32) / 1.8, Why.CELSIUS_AS_FAHRENHEIT),
        (lambda c: c * 1.8 + 32, Why.FAHRENHEIT_AS_CELSIUS),
    ],
)
def test_a_reading_in_the_wrong_unit_is_named_with_what_it_meant(
    as_read: Callable[[float], float], why: Why
) -> None:
    course = _follow(_begun(), [], 24 * 6).run.probe_c.mean(axis=1)
    readings: list[Seen] = [_reading(24 * d, float(course[24 * d])) for d in (1, 2, 3, 5)]
    wrong = _reading(96, as_read(float(course[96])), name="wrong")
    told = _follow(_begun(), sorted([*readings, wrong], key=lambda s: s.hour), 24 * 6)
    (doubt,) = doubts(told.judged)
    assert doubt.judged.seen.source_id == "wrong" and doubt.why is why
    assert doubt.would_be_c == pytest.approx(course[96], abs=0.01)
    clean = _follow(_begun(), readings, 24 * 6)
    np.testing.assert_array_equal(told.run.probe_c, clean.run.probe_c)


def test_a_probe_beside_the_core_is_named() -> None:
    course = _follow(_begun(), [], 24 * 7).run.probe_c.mean(axis=1)
    days = (1, 2, 3, 4, 5, 7)
    readings: list[Seen] = [_reading(24 * d, float(course[24 * d])) for d in days]
    heaps = _follow(_begun(), readings[:-1], 144).standing
    at_edge = float(standing_temperature(heaps, DEPTH, 0.9).mean())
    assert at_edge < course[144] - 10.0
    wrong = _reading(144, at_edge, name="wrong")
    told = _follow(_begun(), sorted([*readings, wrong], key=lambda s: s.hour), 24 * 7)
    (doubt,) = doubts(told.judged)
    assert doubt.why is Why.NOT_IN_CORE and doubt.judged.seen.source_id == "wrong"


@given(weights=st.lists(st.floats(0.001, 1.0), min_size=2, max_size=60), count=st.integers(5, 80))
def test_the_comb_meets_each_as_often_as_it_weighs(weights: list[float], count: int) -> None:
    weight = np.array(weights) / sum(weights)
    met = np.bincount(comb(weight, count), minlength=weight.size)
    assert met.sum() == count and (np.abs(met - count * weight) < 1.0 + 1e-6).all()


def test_what_cannot_be_followed_grows_to_its_spread_and_keeps_the_middle() -> None:
    table = filter_settings()
    lead = np.array([-5.0, 0.0, 24.0, 1e6])
    wide = with_unfollowed(np.full((4, 48), 50.0), lead, table, seed=1)
    assert (wide[:2] == 50.0).all()
    assert wide.mean(axis=1) == pytest.approx(np.full(4, 50.0))
    grown = np.sqrt(1 - np.exp(-2 * 24.0 / table.unfollowed_hours))
    assert wide.std(axis=1)[2:] == pytest.approx([table.unfollowed_c * grown, table.unfollowed_c])


def test_a_hand_outranks_members_that_all_agree() -> None:
    """A heap taken for damp that is felt dusty week after week: the hand is believed."""
    standing = built(SHAPE, [FILL] * 8, WEATHER, parameters_at(0.05 * DEVIATIONS[:8]))
    table = replace(filter_settings(), members=8.0)
    begun, _ = begin(
        standing, 0.05 * DEVIATIONS[:8], WEATHER, (), [], probe_depth_m=DEPTH, settings=table
    )
    dusty = MoistureSeen(120, 0.1, 0.44, 0.05)
    before = dusty.predicted(_follow(begun, [], 120).standing)
    told = _follow(begun, [dusty], 120)
    after = dusty.predicted(told.standing)
    assert before.mean() > 0.52 and before.std() < 0.02
    assert 0.40 < after.mean() < 0.49 < before.mean() and after.std() > before.std()
    for name in ("fast", "medium"):
        place = {"fast": 2, "medium": 3}[name]
        pools = told.standing.state.cells[:, place].sum(axis=(1, 2))
        alone = _follow(begun, [], 120).standing.state.cells[:, place].sum(axis=(1, 2))
        assert pools == pytest.approx(alone, rel=0.05)
    _follow(told, [], 24 * DAYS)  # the balances hold from there on


@given(moisture=st.floats(0.05, 0.9), low=st.floats(0.1, 0.5), width=st.floats(0.0, 0.3))
def test_a_range_is_missed_by_the_way_to_its_nearest_end(
    moisture: float, low: float, width: float
) -> None:
    seen = MoistureSeen(0, low, low + width, 0.05)
    missed = seen.outside_by(moisture)
    inside = low <= moisture <= low + width
    assert (missed == 0.0) == inside or abs(missed) < 1e-12
    assert min(abs(moisture + missed - low), abs(moisture + missed - low - width)) < 1e-9 or inside


@pytest.mark.parametrize("depth, across", [(0.05, 0.0), (DEPTH, 0.95)])
def test_a_cool_top_or_edge_does_not_choose_cool_heaps(depth: float, across: float) -> None:
    """What is read beside the core in the first days says nothing of whether the core heats."""
    beside: list[Seen] = [TemperatureSeen(24 * d, 25.0, depth, across, 5.0) for d in (1, 2, 3)]
    core: list[Seen] = [_reading(24 * d + 1, 55.0) for d in (1, 2, 3)]
    both = sorted([*beside, *core], key=lambda one: one.hour)
    standing = built(SHAPE, _fills(), WEATHER, parameters_at(DEVIATIONS))
    table = replace(filter_settings(), members=float(MEMBERS // 2))

    def chosen(seen: list[Seen]) -> list[int]:
        begun, _ = begin(
            standing, DEVIATIONS, WEATHER, ACTIONS, seen, probe_depth_m=DEPTH, settings=table
        )
        return begun.origin.tolist()

    assert chosen(both) == chosen(core) != chosen(beside)
    assert chosen(beside) == list(range(MEMBERS // 2))  # nothing to choose by: the first, as built
