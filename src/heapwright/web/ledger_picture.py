"""Draws the water of each month: bars for what was given, hollow ones for what is expected.

Knows places on the paper. Knows nothing of how the amounts come about.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from heapwright.garden.ledger_types import Range
from heapwright.quantities import UnitSystem, from_si
from heapwright.sentences import Measure, Reader
from heapwright.web import words
from heapwright.wording import Figure, dated
from heapwright.workshop.ledger_answer import Ledger

WIDTH, HEIGHT = 360.0, 216.0
_LEFT, _RIGHT, _TOP, _FOOT = 62.0, 8.0, 16.0, 34.0
#: So many marks on the scale; a name stands under every so many months.
_MARKS, _EVERY = 4, 4
#: The part of a month's room that its bar takes.
_BAR_SHARE = 0.72
_WATER_KG_PER_M3 = 1000.0
#: Less water in every month is not worth a picture. [kg]
_LEAST_KG = 1.0
#: A month's name takes so much room to the right.
_NAME = 40.0


@dataclass(frozen=True, slots=True)
class BarDrawn:
    """A month's bar: from the foot what was given, above it what is expected, with its range."""

    x: float
    width: float
    done_y: float
    likely_y: float
    middle: float
    low_y: float
    high_y: float
    is_expected: bool


@dataclass(frozen=True, slots=True)
class LedgerPicture:
    """Everything the picture is put together from."""

    bars: tuple[BarDrawn, ...]
    marks: tuple[tuple[float, str], ...]  # y, amount
    names: tuple[tuple[float, str], ...]  # x, month
    today_x: float | None
    left: float = _LEFT
    right: float = WIDTH - _RIGHT
    top: float = _TOP
    foot: float = HEIGHT - _FOOT
    width: float = WIDTH
    height: float = HEIGHT


def ledger_picture(answer: Ledger, first: date, reader: Reader) -> LedgerPicture | None:
    """Return the picture of the months from one on; None when there is hardly any water in them."""
    done = {one.month: one.sums.water_kg for one in answer.done if one.month >= first}
    ahead = {one.month: one.water_kg for one in answer.ahead}
    months = sorted({*done, *ahead})
    none = Range.exactly(0.0)
    most = max((done.get(one, 0.0) + ahead.get(one, none).high for one in months), default=0.0)
    if most < _LEAST_KG:
        return None
    top_kg = _round_up(most, reader)
    up = (HEIGHT - _TOP - _FOOT) / top_kg
    across = (WIDTH - _LEFT - _RIGHT) / len(months)

    def y(water_kg: float) -> float:
        return round(HEIGHT - _FOOT - water_kg * up, 1)

    bars = []
    for number, month in enumerate(months):
        given, expected = done.get(month, 0.0), ahead.get(month, none)
        x = _LEFT + (number + (1.0 - _BAR_SHARE) / 2.0) * across
        bars.append(
            BarDrawn(
                x=round(x, 1),
                width=round(across * _BAR_SHARE, 1),
                done_y=y(given),
                likely_y=y(given + expected.likely),
                middle=round(x + across * _BAR_SHARE / 2.0, 1),
                low_y=y(given + expected.low),
                high_y=y(given + expected.high),
                is_expected=month in ahead,
            )
        )
    return LedgerPicture(
        bars=tuple(bars),
        marks=tuple((y(one), _amount(one, reader)) for one in _scale(top_kg)),
        names=tuple(_names(months, across)),
        today_x=_today_x(answer, months, across),
    )


def _scale(top_kg: float) -> tuple[float, ...]:
    return tuple(top_kg * n / _MARKS for n in range(_MARKS + 1))


def _amount(water_kg: float, reader: Reader) -> str:
    return words.amount(water_kg, Measure.WATER, reader) if water_kg else Figure("0")


def _names(months: Sequence[date], across: float) -> Iterable[tuple[float, str]]:
    for number in range(0, len(months), _EVERY):
        x = _LEFT + number * across
        if x + _NAME <= WIDTH:
            yield round(x, 1), dated(months[number], "d MMM")


def _today_x(answer: Ledger, months: Sequence[date], across: float) -> float | None:
    month = answer.today.replace(day=1)
    if month not in months or not answer.ahead:
        return None
    return round(_LEFT + (months.index(month) + answer.today.day / 31.0) * across, 1)


def _round_up(water_kg: float, reader: Reader) -> float:
    """Return a top of the scale whose quarters are round numbers in the reader's units. [kg]"""
    unit = "gal" if reader.units is UnitSystem.US else "L"
    one_kg = from_si(1.0 / _WATER_KG_PER_M3, unit)
    needed = water_kg * one_kg / _MARKS
    power = 10.0 ** math.floor(math.log10(needed))
    step = next(n * power for n in (1.0, 2.0, 2.5, 5.0, 10.0) if n * power >= needed * 0.999)
    return _MARKS * step / one_kg
