"""Equations of killing by heat refuse what they say nothing about, and say why."""

from __future__ import annotations

import math
from typing import Any

import pytest

from heapwright.errors import OutOfRange
from heapwright.sanitation.equations import (
    holding_days,
    hot_share_of_cube,
    periods_for,
    share_never_hot,
)


@pytest.mark.parametrize("temperature_c", [49.9, 0.0, -300.0, math.nan, [60.0, 40.0]])
def test_no_holding_time_below_50_degrees(temperature_c: Any) -> None:
    with pytest.raises(OutOfRange, match="says nothing below 50 °C"):
        holding_days(temperature_c)


@pytest.mark.parametrize(("cool", "periods", "survival"), [(1.1, 2, 0), (0.5, -1, 0), (0.5, 1, 2)])
def test_shares_and_periods_that_cannot_be(cool: float, periods: float, survival: float) -> None:
    with pytest.raises(OutOfRange, match="Shares lie from 0 to 1"):
        share_never_hot(cool, periods, survival)


@pytest.mark.parametrize(("cool", "target"), [(0.0, 0.1), (1.0, 0.1), (0.5, 0.0), (0.5, 1.0)])
def test_periods_want_shares_between_none_and_all(cool: float, target: float) -> None:
    with pytest.raises(OutOfRange, match="between 0 and 1"):
        periods_for(cool, target)


@pytest.mark.parametrize(("side_m", "shell_m"), [(0.0, 0.1), (-1.0, 0.1), (1.0, -0.1)])
def test_a_cube_without_a_side_or_with_a_shell_inside_out(side_m: float, shell_m: float) -> None:
    with pytest.raises(OutOfRange, match="side must be more than 0"):
        hot_share_of_cube(side_m, shell_m)


def test_a_shell_as_thick_as_the_cube_leaves_nothing_hot() -> None:
    assert hot_share_of_cube(1.0, 0.5) == hot_share_of_cube(1.0, 3.0) == 0.0
