"""What must hold of any decision: balances of amounts, order, ties, danger, members' order."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heapwright.decisions.amounts import (
    brown_to_moisture,
    fill_of,
    green_to_c_to_n,
    water_needed_kg,
)
from heapwright.decisions.choose import decide, judged
from heapwright.decisions.consequences import subset
from heapwright.decisions.contents import contents
from heapwright.decisions.finish_time import days_until_left
from heapwright.decisions.options import options_for
from heapwright.decisions.tables import limits, worths
from heapwright.decisions.types import (
    Doing,
    Measures,
    Option,
    Situation,
    StockPart,
)
from heapwright.decisions.worth import WEIGHTS, cost_days, other_weights, usual_weights
from heapwright.heap.parameters import sample_parameters
from heapwright.heap.resume import Standing, built, go_on
from heapwright.heap.types import BinShape, Cover, Fill, Wall
from heapwright.mixing.types import Part
from heapwright.weather.projection import on_dates
from heapwright.weather.series import WeatherSeries
from heapwright.weather_sources.climate import climate

START = datetime(2023, 4, 1, 9, tzinfo=UTC)
MEMBERS, HOUR = 6, 24 * 12
SHAPE = BinShape(0.95, 0.95, 0.95, shade=0.5)


@cache
def weather() -> WeatherSeries:
    return on_dates(climate("greensboro"), START, START + timedelta(days=30))


@cache
def standing(moisture: float = 0.56, c_to_n: float = 28.0) -> Standing:
    """Twelve days old; never changed by what is asked of it."""
    fill = Fill(280.0, moisture, 0.75, 0.12, 0.2, 0.35, c_to_n)
    rows = sample_parameters(MEMBERS, np.random.default_rng(3))
    heaps = built(SHAPE, [fill] * MEMBERS, weather(), rows)
    return go_on(heaps, weather(), HOUR, probe_depth_m=0.45)[1]


def situation(**changes: object) -> Situation:
    usual = Situation(
        standing=standing(),
        weather=weather(),
        shape=SHAPE,
        next_bin="Next bin",
        next_shape=SHAPE,
        stock=(leaves(), grass()),
        may_burn=False,
        squeeze="",
        smell="",
        is_curing=False,
        is_ready=False,
        probe_depth_m=0.45,
    )
    return replace(usual, **changes)  # type: ignore[arg-type]


def leaves(count: int = 6, moisture: float = 0.3) -> StockPart:
    one = Part("leaves", 3.0, moisture, 0.009, 0.48, 150.0, 0.08, 0.05, 0.25)
    return StockPart("leaves", "Shredded leaves", "pail", one, count, is_brown=True)


def grass(count: int = 6) -> StockPart:
    one = Part("grass", 5.0, 0.8, 0.035, 0.45, 250.0, 0.1, 0.35, 0.35)
    return StockPart("grass", "Grass clippings", "pail", one, count, is_brown=False)


def a_heap(moisture: float, c_to_n: float) -> Part:
    return Part("heap", 300.0, moisture, 0.48 / c_to_n, 0.48, 450.0, 0.1, 0.1, 0.3)


@given(moisture=st.floats(0.62, 0.8), dry=st.floats(0.1, 0.5), target=st.floats(0.52, 0.6))
def test_brown_brings_the_whole_heap_to_the_moisture_and_one_pail_less_does_not(
    moisture: float, dry: float, target: float
) -> None:
    found = brown_to_moisture(a_heap(moisture, 25.0), [leaves(10_000, dry)], target, 1e9)
    assert found is not None and found.is_enough
    count = found.lines[0][1]

    def after(pails: int) -> float:  # by hand: water over everything
        return (300.0 * moisture + pails * 3.0 * dry) / (300.0 + pails * 3.0)

    assert after(count) <= target + 1e-9 < after(count - 1) + 2e-9
    assert found.moisture_after == pytest.approx(after(count))
    assert found.moisture_before == pytest.approx(moisture)


@given(lean=st.floats(36.0, 70.0), target=st.floats(25.0, 35.0))
def test_green_brings_the_whole_heap_to_the_c_to_n_and_one_pail_less_does_not(
    lean: float, target: float
) -> None:
    found = green_to_c_to_n(a_heap(0.55, lean), [grass(10_000)], target, 1e9)
    assert found is not None and found.is_enough
    count = found.lines[0][1]

    def after(pails: int) -> float:
        dry, more = 300.0 * 0.45, pails * 5.0 * 0.2
        carbon = dry * 0.48 + more * 0.45
        return carbon / (dry * 0.48 / lean + more * 0.035)

    assert after(count) <= target + 1e-9 < after(count - 1) + 2e-9
    assert found.c_to_n_after == pytest.approx(after(count))


@given(stock=st.integers(1, 8), room=st.floats(0.0, 0.1))
def test_nothing_is_added_beyond_stock_and_room(stock: int, room: float) -> None:
    found = brown_to_moisture(a_heap(0.78, 25.0), [leaves(stock)], 0.55, room)
    if found is None:
        assert room < 3.0 / 150.0
        return
    assert found.lines[0][1] <= stock
    assert fill_of(found).volume_m3 <= room + 1e-6


@given(target=st.floats(0.4, 0.7))
def test_water_needed_brings_every_member_to_the_target(target: float) -> None:
    heap = contents(standing())
    given_kg = water_needed_kg(heap, target)
    after = (heap.water_kg + given_kg) / (heap.water_kg + heap.dry_kg + given_kg)
    np.testing.assert_allclose(after, np.maximum(heap.moisture, target))


def test_pools_that_decay_are_met_when_the_equation_says() -> None:
    f, m, a, b = (np.array([x]) for x in (3.0, 9.0, 0.2, 0.03))
    t = float(days_until_left(f, m, np.array([4.0]), a, b)[0])
    assert 3.0 * np.exp(-0.2 * t) + 9.0 * np.exp(-0.03 * t) == pytest.approx(4.0)
    assert days_until_left(f, m, np.array([12.0]), a, b)[0] == 0.0
    assert days_until_left(f, m, np.array([1e-9]), a, 0.0 * b)[0] == limits()["most_days"]


def test_a_heap_that_may_burn_is_only_left_alone() -> None:
    possible, forbidden = options_for(situation(may_burn=True))
    assert [one.doing for one in possible] == [Doing.LEAVE]
    assert {one.doing for one in forbidden} == set(Doing) - {Doing.LEAVE}
    assert all("burning" in one.reason.template for one in forbidden)
    decision = decide(situation(may_burn=True), members=3, horizon_days=2)
    assert decision.best.option.doing is Doing.LEAVE
    assert decision.rival is None


@pytest.mark.parametrize(
    ("changes", "never"),
    [
        ({"next_shape": None}, [one for one in Doing if one.is_move]),
        ({"next_bin": "", "next_shape": None}, [one for one in Doing if one.is_move]),
        ({"squeeze": "dripping"}, [one for one in Doing if one.gives_water]),
        ({"squeeze": "drops"}, [one for one in Doing if one.gives_water]),
        ({"smell": "ammonia"}, [Doing.STIR_WITH_GREEN, Doing.MOVE_WITH_GREEN]),
        ({"stock": ()}, [Doing.STIR_WITH_BROWN, Doing.STIR_WITH_GREEN]),
        ({"is_curing": True}, [one for one in Doing if one.is_turn and one is not Doing.SPREAD]),
        ({}, [Doing.USE, Doing.SPREAD, Doing.CAP]),
    ],
)  # fmt: skip
def test_what_the_trade_forbids_is_not_offered(
    changes: dict[str, object], never: list[Doing]
) -> None:
    dry, lean, wet = standing(0.4), standing(0.56, 60.0), standing(0.75)
    for heaps in (standing(), dry, lean, wet):
        possible, forbidden = options_for(situation(standing=heaps, **changes))
        assert not {one.doing for one in possible} & set(never)
        assert set(never) <= {one.doing for one in forbidden}
        assert {one.doing for one in possible} | {one.doing for one in forbidden} == set(Doing)


def test_each_option_is_offered_where_it_belongs() -> None:
    def offered(heaps: Standing, **changes: object) -> set[Doing]:
        return {one.doing for one in options_for(situation(standing=heaps, **changes))[0]}

    assert offered(standing(0.4)) >= {Doing.WET, Doing.STIR_AND_WET, Doing.MOVE_AND_WET}
    assert offered(standing(0.75)) >= {Doing.STIR_WITH_BROWN, Doing.MOVE_WITH_BROWN}
    assert offered(standing(0.56, 60.0)) >= {Doing.STIR_WITH_GREEN, Doing.MOVE_WITH_GREEN}
    assert Doing.CAP in offered(standing(), shape=replace(SHAPE, cover=Cover.OPEN))
    assert Doing.USE in offered(standing(), is_curing=True, is_ready=True)
    cold = replace(weather(), temperature_c=weather().temperature_c - 20.0)
    assert Doing.INSULATE in offered(standing(), weather=cold)
    bales = replace(SHAPE, wall=Wall.BALES)
    assert Doing.INSULATE not in offered(standing(), weather=cold, shape=bales)


def test_the_order_of_members_changes_nothing() -> None:
    order = np.array([4, 2, 0, 5, 1, 3])
    one = decide(situation(), members=4, horizon_days=3)
    other = decide(situation(standing=standing().chosen(order)), members=4, horizon_days=3)
    assert [w.option.doing for w in one.weighed] == [w.option.doing for w in other.weighed]
    for mine, theirs in zip(one.weighed, other.weighed, strict=True):
        np.testing.assert_allclose(mine.cost_days, theirs.cost_days)
    assert (one.best_in, one.is_equal) == (other.best_in, other.is_equal)


def test_deciding_changes_no_heap() -> None:
    before = standing().state.cells.copy()
    decide(situation(), members=3, horizon_days=2)
    np.testing.assert_array_equal(standing().state.cells, before)


def test_leaving_alone_is_always_among_the_options_and_gains_nothing() -> None:
    for heaps in (standing(), standing(0.4), standing(0.75)):
        decision = decide(situation(standing=heaps), members=3, horizon_days=2)
        assert decision.leave.better_days.likely == 0.0
        assert decision.leave.sooner_days.high == 0.0


def test_subset_is_spread_evenly_and_holds_every_member_when_few() -> None:
    few = subset(standing(), 3)
    left = contents(few).left
    assert few.members == 3 and (np.diff(left) >= 0).all()
    assert subset(standing(), 99).members == MEMBERS


def option(doing: Doing, in_days: int = 0) -> Option:
    return Option(doing, in_days, 0.0, None, None, "", None, Cover.BROWN_CAP)


def measures(days: list[float], work: float = 0.0, hot: float = 0.5) -> Measures:
    found = np.array(days)
    none = np.zeros_like(found)
    return Measures(
        days_left=found,
        hot_share=none + hot,
        airless_days=none,
        nitrogen_lost=none,
        fly_days=none,
        water_lost_kg=none,
        probe_c=np.zeros((2, found.size)),
        moisture=none,
        water_given_kg=0.0,
        barrows=0.0,
        work_minutes=work,
    )


DAYS = st.lists(st.floats(10.0, 100.0), min_size=5, max_size=5)


@given(alone=DAYS, later=st.floats(0.0, 30.0), work=st.floats(0.0, 60.0))
def test_a_dominated_option_is_never_chosen(alone: list[float], later: float, work: float) -> None:
    worse = [day + later for day in alone]
    found = [
        (option(Doing.LEAVE), measures(alone)),
        (option(Doing.STIR), measures(worse, work)),
    ]
    assert judged(found, (), 10).best.option.doing is Doing.LEAVE


@given(days=DAYS)
def test_the_same_thing_under_two_names_is_equal(days: list[float]) -> None:
    found = [
        (option(Doing.LEAVE), measures(days)),
        (option(Doing.STIR), measures(days)),
        (option(Doing.MOVE), measures(days)),
    ]
    decision = judged(found, (), 10)
    assert decision.is_equal
    assert decision.margin_days.low == decision.margin_days.high == 0.0
    assert decision.best.option.doing is Doing.LEAVE


@given(alone=DAYS, gain=st.floats(0.0, 40.0), work=st.floats(0.0, 60.0))
def test_a_choice_is_called_better_only_from_the_least_difference_on(
    alone: list[float], gain: float, work: float
) -> None:
    found = [
        (option(Doing.LEAVE), measures(alone)),
        (option(Doing.MOVE), measures([day - gain for day in alone], work)),
    ]
    decision = judged(found, (), 10)
    net = gain - usual_weights()["work_days_minute"] * work
    least = worths()["least_difference_days"].typical
    if abs(net) > least + 1e-9:
        assert not decision.is_equal
        chosen = Doing.MOVE if net > 0 else Doing.LEAVE
        assert decision.best.option.doing is chosen
        assert decision.best_in == 5
    elif abs(net) < least - 1e-9:
        assert decision.is_equal


def test_a_later_day_is_preferred_only_when_waiting_gains_enough() -> None:
    def chosen(waiting_gains: float) -> int:
        found = [
            (option(Doing.LEAVE), measures([60.0] * 5)),
            (option(Doing.STIR), measures([50.0] * 5, 10.0)),
            (option(Doing.STIR, 2), measures([50.0 - waiting_gains] * 5, 10.0)),
        ]
        return judged(found, (), 10).best.option.in_days

    least = worths()["least_difference_days"].typical
    assert chosen(0.5 * least) == 0
    assert chosen(2.0 * least) == 2


@settings(max_examples=30)
@given(name=st.sampled_from(WEIGHTS))
def test_more_of_what_is_unwanted_never_costs_less(name: str) -> None:
    base = measures([40.0] * 3, 20.0)
    worse = {
        "heat_days": replace(base, hot_share=base.hot_share - 0.2),
        "airless_days": replace(base, airless_days=base.airless_days + 2.0),
        "nitrogen_days": replace(base, nitrogen_lost=base.nitrogen_lost + 0.1),
        "fly_days": replace(base, fly_days=base.fly_days + 1.0),
        "water_days_kg": replace(base, water_given_kg=30.0),
        "work_days_minute": replace(base, work_minutes=50.0),
    }[name]
    weights = usual_weights()
    assert (cost_days(worse, weights) > cost_days(base, weights)).all()
    assert {key for key, _, _ in other_weights()} == set(WEIGHTS)
