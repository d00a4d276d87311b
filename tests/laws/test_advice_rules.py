"""The trade's rules for the job of the day, each from its sign (common practice by default)."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heapwright.advice import phrases
from heapwright.advice.rules import advise
from heapwright.advice.types import Advice, HeapView, Interval, Job, Sureness, TemperatureReading
from heapwright.quantities import fahrenheit_to_celsius

DAY = 24.0


def heap(**changes: object) -> HeapView:
    """Return a capped, active heap of one cubic yard, ten days old, damp, with food left."""
    usual = HeapView(
        age_days=10.0,
        curing_days=None,
        readings=(TemperatureReading(60.0, 62.0), TemperatureReading(2.0, 55.0)),
        hours_since_turn=None,
        hours_since_wetting=None,
        turns=0,
        moisture=Interval(0.5, 0.55, 0.6),
        degradable_left=Interval(0.4, 0.6, 0.8),
        core_tomorrow_c=Interval(48.0, 53.0, 58.0),
        squeeze="",
        smell="",
        pests=(),
        looks=(),
        is_capped=True,
        free_bin="",
        water_to_target_kg=Interval(10.0, 20.0, 30.0),
        volume_m3=0.7,
    )
    return replace(usual, **changes)


def reads(*fahrenheit: float) -> tuple[TemperatureReading, ...]:
    """Return daily readings in °F, the last one two hours ago."""
    ages = [2.0 + DAY * i for i in range(len(fahrenheit))][::-1]
    return tuple(
        TemperatureReading(age, fahrenheit_to_celsius(f))
        for age, f in zip(ages, fahrenheit, strict=True)
    )


@pytest.mark.parametrize("fahrenheit", [110.5, 120, 131, 145, 159])
def test_between_110_and_160_f_it_is_left_alone(fahrenheit: float) -> None:
    assert advise(heap(readings=reads(fahrenheit))).job is Job.LEAVE


@pytest.mark.parametrize("fahrenheit", [160, 164, 170, 184])
def test_from_160_f_it_wants_air_now(fahrenheit: float) -> None:
    assert advise(heap(readings=reads(fahrenheit))).job is Job.STIR
    assert advise(heap(readings=reads(fahrenheit), free_bin="Middle")).job is Job.MOVE


def test_from_185_f_nobody_digs() -> None:
    """NRCS Job Sheet 317 (Jan 2002): cool at once above 185 °F."""
    advice = advise(heap(readings=reads(150, 186), free_bin="Middle", smell="ammonia"))
    assert advice.job is Job.STAND_BACK
    assert advice.cautions


def test_an_old_burning_reading_still_keeps_people_away() -> None:
    old = (TemperatureReading(90.0, 86.0),)
    assert advise(heap(readings=old)).job is Job.STAND_BACK


def test_from_a_smoking_heap_everybody_stands_back_whatever_it_read() -> None:
    for view in (heap(looks=("smoking",)), heap(looks=("smoking",), readings=reads(120))):
        advice = advise(view)
        assert advice.job is Job.STAND_BACK and advice.amounts == ()
        assert advice.cautions == phrases.FIRE


def test_below_100_f_a_heap_that_was_hot_wants_air_and_water() -> None:
    advice = advise(heap(readings=reads(140, 120, 98)))
    assert advice.job is Job.STIR
    assert advice.amounts


def test_it_goes_to_the_next_bin_when_that_is_free() -> None:
    assert advise(heap(readings=reads(140, 120, 98), free_bin="Middle")).job is Job.MOVE


def test_between_100_and_110_f_coming_down_it_waits_a_day() -> None:
    assert advise(heap(readings=reads(140, 120, 105))).job is Job.LEAVE


def test_a_new_heap_is_given_time() -> None:
    young = heap(age_days=1.5, readings=reads(85))
    assert advise(young).job is Job.LEAVE


def test_a_heap_that_never_heated_gets_green_when_damp() -> None:
    advice = advise(heap(readings=reads(75, 80, 78)))
    assert advice.job is Job.MIX_IN_GREEN
    assert advice.sureness is Sureness.GUESS


def test_a_heap_that_never_heated_is_wetted_while_turned_when_dry() -> None:
    dry = heap(readings=reads(75, 80, 78), moisture=Interval(0.25, 0.3, 0.35))
    assert advise(dry).job is Job.STIR


def test_a_damp_heap_that_did_not_reheat_after_a_turn_is_cured() -> None:
    """Clemson: the active phase ends when it no longer makes heat."""
    spent = heap(
        age_days=50.0,
        readings=(TemperatureReading(400.0, 60.0), *reads(92, 90, 88)),
        hours_since_turn=6 * DAY,
        turns=4,
        degradable_left=Interval(0.02, 0.08, 0.15),
    )
    assert advise(spent).job is Job.CURE


@pytest.mark.parametrize("smell", ["ammonia", "rotten egg", "sour"])
def test_a_bad_smell_wants_dry_brown(smell: str) -> None:
    assert advise(heap(smell=smell)).job is Job.MIX_IN_BROWN


def test_a_dripping_handful_wants_dry_brown() -> None:
    assert advise(heap(squeeze="dripping")).job is Job.MIX_IN_BROWN


@pytest.mark.parametrize("pest", ["flies", "rats", "mice", "raccoons"])
def test_pests_want_burying_and_a_cap(pest: str) -> None:
    assert advise(heap(pests=(pest,))).job is Job.CAP


def test_it_ends_with_brown() -> None:
    assert advise(heap(is_capped=False)).job is Job.CAP


def test_a_hot_heap_that_crumbles_dry_is_wetted_in_place() -> None:
    assert advise(heap(squeeze="dusty")).job is Job.WET


def test_a_model_that_says_dry_asks_for_the_hand_first() -> None:
    advice = advise(heap(moisture=Interval(0.28, 0.33, 0.38)))
    assert advice.job is Job.WET
    assert "Squeeze" in advice.amounts[0].template


def test_without_a_fresh_reading_the_temperature_comes_first() -> None:
    assert advise(heap(readings=())).job is Job.READ
    assert advise(heap(readings=(TemperatureReading(80.0, 60.0),))).job is Job.READ


def test_a_reading_from_before_the_turn_does_not_ask_for_another_turn() -> None:
    turned = heap(readings=reads(140, 120, 95), hours_since_turn=1.0, turns=1)
    advice = advise(turned)
    assert advice.job is Job.LEAVE
    assert "tomorrow" in advice.headline.template


def test_a_heap_built_today_is_left_until_tomorrow() -> None:
    assert advise(heap(age_days=0.2, readings=())).job is Job.LEAVE


def test_two_days_after_a_turn_without_a_reading_the_temperature_comes_first() -> None:
    turned = heap(readings=reads(140, 120), hours_since_turn=48.0, turns=1)
    late = replace(turned, readings=(TemperatureReading(60.0, 60.0),))
    assert advise(late).job is Job.READ


def test_curing_is_waited_for_and_then_tested() -> None:
    assert advise(heap(curing_days=10.0)).job is Job.LEAVE
    assert advise(heap(curing_days=60.0)).job is Job.TEST


VIEWS = st.builds(
    heap,
    age_days=st.floats(0, 400),
    curing_days=st.none() | st.floats(0, 200),
    readings=st.lists(st.floats(0, 95), max_size=4).map(
        lambda temps: tuple(
            TemperatureReading(5.0 * (len(temps) - i), t) for i, t in enumerate(temps)
        )
    ),
    hours_since_turn=st.none() | st.floats(0, 1000),
    turns=st.integers(0, 9),
    moisture=st.none() | st.floats(0.1, 0.8).map(lambda m: Interval(m - 0.05, m, m + 0.05)),
    squeeze=st.sampled_from(["", "dusty", "dry", "drops", "dripping"]),
    smell=st.sampled_from(["", "earthy", "rotten egg", "sour", "ammonia"]),
    pests=st.sampled_from([(), ("flies",), ("rats",), ("ants",), ("flies", "rats")]),
    is_capped=st.booleans(),
    free_bin=st.sampled_from(["", "Middle"]),
    water_to_target_kg=st.none() | st.just(Interval(-5.0, 3.0, 20.0)),
)


@given(VIEWS)
def test_every_heap_gets_one_job_with_a_reason(view: HeapView) -> None:
    advice = advise(view)
    assert advice.headline.template
    assert advice.reasons


@given(VIEWS)
def test_nobody_is_sent_to_dig_where_it_may_burn(view: HeapView) -> None:
    burning = replace(view, readings=(*view.readings, TemperatureReading(1.0, 86.0)))
    assert advise(burning).job is Job.STAND_BACK


@given(VIEWS)
def test_turning_always_carries_its_cautions_and_ends_with_brown(view: HeapView) -> None:
    advice: Advice = advise(view)
    if advice.job in (Job.STIR, Job.MOVE, Job.MIX_IN_BROWN, Job.MIX_IN_GREEN):
        assert advice.cautions
        assert any("brown" in sentence.template for sentence in advice.afterwards)


@given(VIEWS)
def test_a_missing_reading_never_counts_as_hot(view: HeapView) -> None:
    blind = replace(
        view, readings=(), smell="", squeeze="", pests=(), is_capped=True, curing_days=None
    )
    since_turn = view.hours_since_turn
    rested = view.age_days >= 1.0 and (since_turn is None or since_turn >= DAY)
    assert advise(blind).job in ((Job.READ,) if rested else (Job.READ, Job.LEAVE))
