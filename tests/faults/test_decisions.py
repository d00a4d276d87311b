"""Decisions asked for with too little: told in the family of errors, or answered with what is."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from heapwright.decisions.choose import decide
from heapwright.decisions.types import Doing
from heapwright.errors import HeapwrightError
from tests.laws.test_decisions import HOUR, MEMBERS, START, situation, weather


def test_weather_that_ends_now_is_told() -> None:
    short = weather().between(START, START + timedelta(hours=HOUR + 5))
    with pytest.raises(HeapwrightError):
        decide(situation(weather=short))


def test_weather_that_ends_early_shortens_the_look_ahead() -> None:
    short = weather().between(START, START + timedelta(hours=HOUR + 24 * 3))
    assert decide(situation(weather=short), members=3).horizon_days == 3


def test_one_member_only_is_answered_without_a_spread() -> None:
    one = situation().standing.chosen(np.array([0]))
    decision = decide(situation(standing=one), horizon_days=2)
    assert decision.members == 1
    assert decision.best.better_days.low == decision.best.better_days.high


def test_asking_for_more_members_than_there_are_takes_all() -> None:
    assert decide(situation(), members=99, horizon_days=2).members == MEMBERS


def test_stock_of_nothing_is_no_addition() -> None:
    bare = situation(stock=tuple(replace(part, count=0) for part in situation().stock))
    decision = decide(bare, members=3, horizon_days=2)
    assert all(one.option.addition is None for one in decision.weighed)


def test_leaving_alone_can_not_be_left_out() -> None:
    with_all = decide(situation(), members=3, horizon_days=2, without=tuple(Doing))
    assert [one.option.doing for one in with_all.weighed] == [Doing.LEAVE]
