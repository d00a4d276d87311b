"""The types of decisions: what is known of a heap, what can be done, what it leads to.

Knows what is passed between the modules of this package and to the workshop. Holds no arithmetic
but percentiles.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from heapwright.heap.resume import Standing
from heapwright.heap.types import BinShape, Cover, FloatArray
from heapwright.mixing.types import Part
from heapwright.sentences import Sentence
from heapwright.weather.series import WeatherSeries


class Doing(StrEnum):
    """What can be done with a heap, from least to most work."""

    LEAVE = "leave"
    CAP = "cap"
    WET = "wet"
    USE = "use"
    INSULATE = "insulate"
    STIR = "stir"
    STIR_AND_WET = "stir and wet"
    STIR_WITH_BROWN = "stir with brown"
    STIR_WITH_GREEN = "stir with green"
    MOVE = "move"
    MOVE_AND_WET = "move and wet"
    MOVE_WITH_BROWN = "move with brown"
    MOVE_WITH_GREEN = "move with green"
    SPREAD = "spread out to cure"

    @property
    def is_turn(self) -> bool:
        """Whether the whole heap is forked over."""
        return self in _TURNS or self is Doing.SPREAD

    @property
    def is_move(self) -> bool:
        """Whether it goes into the next bin."""
        return self.value.startswith("move")

    @property
    def gives_water(self) -> bool:
        """Whether water is given."""
        return self in (Doing.WET, Doing.STIR_AND_WET, Doing.MOVE_AND_WET)


_TURNS = frozenset(one for one in Doing if one.value.startswith(("stir", "move")))


@dataclass(frozen=True, slots=True)
class StockPart:
    """Containers of one material on hand.

    Attributes
    ----------
    key : str
        Whatever the caller knows the lot by.
    material_name, container_name : str
    one : Part
        One container.
    count : int
        Whole containers that may be used.
    is_brown : bool
        Brown, else green.

    """

    key: str
    material_name: str
    container_name: str
    one: Part
    count: int
    is_brown: bool


@dataclass(frozen=True, slots=True)
class Addition:
    """Containers to mix in, and what the heap is with and without them by mass balance.

    Attributes
    ----------
    lines : tuple of (StockPart, int)
    whole : Part
        All of them as one.
    moisture_before, moisture_after : float
        Of the whole heap. [0-1]
    c_to_n_before, c_to_n_after : float
    is_enough : bool
        Whether what is on hand reaches the target.

    """

    lines: tuple[tuple[StockPart, int], ...]
    whole: Part
    moisture_before: float
    moisture_after: float
    c_to_n_before: float
    c_to_n_after: float
    is_enough: bool


@dataclass(frozen=True, slots=True)
class Range:
    """A value over the members: one in ten below low, one in ten above high."""

    low: float
    likely: float
    high: float


def range_of(values: FloatArray) -> Range:
    """Return the 10th, 50th and 90th percentile over the members."""
    low, likely, high = np.percentile(values, [10.0, 50.0, 90.0])
    return Range(float(low), float(likely), float(high))


@dataclass(frozen=True, slots=True)
class Option:
    """One thing that can be done, when and how much of it.

    Attributes
    ----------
    doing : Doing
    in_days : int
        0 is today.
    water_kg : float
        As it is run, and likely.
    water_range_kg : Range or None
        Over the members, where water is given.
    addition : Addition or None
    to_bin : str
        Name of the bin moved into; "" when it stays.
    new_shape : BinShape or None
        The bin after it, when that changes.
    cover : Cover
        What lies on top afterwards.

    """

    doing: Doing
    in_days: int
    water_kg: float
    water_range_kg: Range | None
    addition: Addition | None
    to_bin: str
    new_shape: BinShape | None
    cover: Cover


@dataclass(frozen=True, slots=True)
class Forbidden:
    """One thing that cannot or must not be done, and why."""

    doing: Doing
    reason: Sentence


@dataclass(frozen=True, slots=True)
class Situation:
    """A heap at the moment a decision is asked for.

    Attributes
    ----------
    standing : Standing
        Equally likely members, at the present hour.
    weather : WeatherSeries
        From the building to the horizon or beyond.
    shape : BinShape
        The bin it lies in, with what lies on top now.
    next_bin : str
        Name of the next bin; "" if there is none.
    next_shape : BinShape or None
        That bin if it is empty.
    stock : tuple of StockPart
        What may be mixed in.
    may_burn : bool
        Whether it was so hot that nobody may dig into it.
    squeeze, smell : str
        A look that still counts; "" when none.
    is_curing, is_ready : bool
        Left to cure; passed its tests.
    probe_depth_m : float
    later_days : tuple of int
        Days from now on which the person has time.

    """

    standing: Standing
    weather: WeatherSeries
    shape: BinShape
    next_bin: str
    next_shape: BinShape | None
    stock: tuple[StockPart, ...]
    may_burn: bool
    squeeze: str
    smell: str
    is_curing: bool
    is_ready: bool
    probe_depth_m: float
    later_days: tuple[int, ...] = (2, 4)


@dataclass(frozen=True, slots=True)
class Measures:
    """What an option leads to within the horizon, each of shape (members,) unless said.

    Attributes
    ----------
    days_left : array
        Until it is finished, counted from now.
    hot_share : array
        Share of the heap that has been hot long enough, since it was built. [0-1]
    airless_days : array
        Days, times the share of the heap short of oxygen.
    nitrogen_lost : array
        Share of the nitrogen it holds now that goes off as ammonia. [0-1]
    fly_days : array
        Days on which flies find food, times how much of it.
    water_lost_kg : array
        Evaporated. [kg]
    probe_c : array, shape (days+1, members)
        At the thermometer's tip, each day at this hour. [°C]
    moisture : array
        At the horizon, whole heap. [0-1]
    water_given_kg, barrows, work_minutes : float

    """

    days_left: FloatArray
    hot_share: FloatArray
    airless_days: FloatArray
    nitrogen_lost: FloatArray
    fly_days: FloatArray
    water_lost_kg: FloatArray
    probe_c: FloatArray
    moisture: FloatArray
    water_given_kg: float
    barrows: float
    work_minutes: float


@dataclass(frozen=True, slots=True)
class Weighed:
    """An option with what it leads to.

    Attributes
    ----------
    option : Option
    measures : Measures
    cost_days : array, shape (members,)
        Everything that speaks against it, turned into days.
    sooner_days : Range
        How much sooner finished than when left alone.
    better_days : Range
        How much better than leaving it alone, all things counted, in days.

    """

    option: Option
    measures: Measures
    cost_days: FloatArray
    sooner_days: Range
    better_days: Range


@dataclass(frozen=True, slots=True)
class Decision:
    """The options in order of worth, and how clear the first is.

    Attributes
    ----------
    weighed : tuple of Weighed
        Best first. Leaving alone is always among them.
    best : Weighed
        The one to follow: the first, or among equals the one with the least work.
    rival : Weighed or None
        The best that does something else (another day of the same thing is not something else).
    margin_days : Range
        Of the best over the rival.
    best_in : int
        In how many members nothing else (but a later day of it) is better.
    members : int
    is_equal : bool
        Whether the rival is as good for all that can be told.
    forbidden : tuple of Forbidden
    horizon_days : int
    turning : mapping str -> Weighed
        Which option would win if one weight stood at the end of its range; only where that is
        another one. The key says which weight and which end.

    """

    weighed: tuple[Weighed, ...]
    best: Weighed
    rival: Weighed | None
    margin_days: Range
    best_in: int
    members: int
    is_equal: bool
    forbidden: tuple[Forbidden, ...]
    horizon_days: int
    turning: Mapping[str, Weighed]

    @property
    def leave(self) -> Weighed:
        """Leaving it alone."""
        return next(one for one in self.weighed if one.option.doing is Doing.LEAVE)
