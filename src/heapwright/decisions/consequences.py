"""What an option leads to: the ensemble run on with it, and what is read off the run.

Knows how an option becomes the heap model's actions and how heat, smell, flies, water and work are
measured. Knows nothing of what they are worth.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

import numpy as np

from heapwright.decisions.amounts import fill_of
from heapwright.decisions.contents import contents
from heapwright.decisions.finish_time import days_to_finished
from heapwright.decisions.tables import limits
from heapwright.decisions.types import Doing, Measures, Option, Situation
from heapwright.heap import layout
from heapwright.heap.resume import FOLLOWING_STRIDE, Standing, go_on
from heapwright.heap.state import cell_shares, set_bin
from heapwright.heap.types import (
    ActionKind,
    BinShape,
    Cover,
    EnsembleRun,
    FloatArray,
    HeapAction,
)

_HOURS_A_DAY = 24
#: Days after which oxygen and surface are looked at, besides the horizon itself.
_LOOKS = (2, 6)


@dataclass(frozen=True, slots=True)
class _Look:
    """Heaps at an hour of the run, as nose and flies find them, each of shape (members,)."""

    day: int
    airless_share: FloatArray
    open_food: FloatArray


@dataclass(frozen=True, slots=True)
class _Piece:
    """A stretch of a run, the heaps at its end, and the look there."""

    run: EnsembleRun
    standing: Standing


class Consequences:
    """Runs the options of one situation, all with the same members and the same weather.

    Leaving alone is run once; options of later days begin from it.
    """

    def __init__(self, situation: Situation, *, horizon_days: int) -> None:
        start = situation.standing.hour
        end = start + horizon_days * _HOURS_A_DAY
        weather = situation.weather
        until = weather.start + timedelta(hours=end)
        self._situation = replace(situation, weather=weather.between(weather.start, until))
        self._horizon = horizon_days
        self._left_alone: dict[int, _Piece] = {}
        self._lock = threading.Lock()
        self._air_c = float(np.mean(situation.weather.temperature_c[start:end]))

    def of(self, option: Option) -> Measures:
        """Return what an option leads to."""
        pieces = list(self._pieces(option))
        start = contents(self._situation.standing)
        end = pieces[-1].standing
        at_end = contents(end)
        left = _joined([piece.run.degradable_left for piece in pieces])
        looks = [self._look(piece, option) for piece in pieces]
        runs = [piece.run for piece in pieces]
        lost = runs[-1].ammonia_lost_kg[-1] - runs[0].ammonia_lost_kg[0]
        return Measures(
            days_left=days_to_finished(left, at_end, end, self._air_c),
            hot_share=runs[-1].hot_share,
            airless_days=_over_days([(look.day, look.airless_share) for look in looks]),
            nitrogen_lost=np.asarray(lost / np.maximum(start.nitrogen_kg, 1e-9)),
            fly_days=_over_days([(look.day, look.open_food) for look in looks]),
            water_lost_kg=runs[-1].water_evaporated_kg[-1] - runs[0].water_evaporated_kg[0],
            probe_c=_joined([run.probe_c for run in runs])[::_HOURS_A_DAY],
            moisture=at_end.moisture,
            water_given_kg=option.water_kg,
            barrows=_barrows(option, float(np.median(start.volume_m3))),
            work_minutes=work_minutes(option, float(np.median(start.volume_m3))),
        )

    def _pieces(self, option: Option) -> Iterator[_Piece]:
        """Run the option in stretches: alone until its day, then with it to the horizon."""
        before = [day for day in self._stops() if day <= option.in_days]
        if option.doing is Doing.LEAVE:
            before = list(self._stops())
        if option.in_days and option.doing is not Doing.LEAVE:
            before = sorted({*before, option.in_days})
        standing = self._situation.standing
        first = standing.hour
        for day in before:
            piece = self._alone(day, before)
            yield piece
            standing = piece.standing
        if option.doing is Doing.LEAVE:
            return
        standing, actions = started(standing, option, self._situation)
        for day in self._stops():
            if day > option.in_days:
                run, standing = self._go_on(standing, first + day * _HOURS_A_DAY, actions)
                yield _Piece(run, standing)

    def _stops(self) -> tuple[int, ...]:
        return (*(day for day in _LOOKS if day < self._horizon), self._horizon)

    def _alone(self, day: int, days: Sequence[int]) -> _Piece:
        with self._lock:
            return self._alone_unlocked(day, days)

    def _alone_unlocked(self, day: int, days: Sequence[int]) -> _Piece:
        if day not in self._left_alone:
            earlier = max((one for one in days if one < day), default=0)
            start = self._left_alone[earlier].standing if earlier else self._situation.standing
            until = self._situation.standing.hour + day * _HOURS_A_DAY
            self._left_alone[day] = _Piece(*self._go_on(start, until, ()))
        return self._left_alone[day]

    def _go_on(
        self, standing: Standing, until: int, actions: Sequence[HeapAction]
    ) -> tuple[EnsembleRun, Standing]:
        return go_on(
            standing,
            self._situation.weather,
            until,
            actions,
            probe_depth_m=self._situation.probe_depth_m,
            stride_hours=FOLLOWING_STRIDE,
            threads=1,  # options run side by side; a thread for each half would cost more
        )

    def _look(self, piece: _Piece, option: Option) -> _Look:
        standing = piece.standing
        hours = standing.hour - self._situation.standing.hour
        day = hours // _HOURS_A_DAY
        done = day > option.in_days
        cover = option.cover if done else self._situation.shape.cover
        return _Look(day, airless_share(standing), open_food(standing, cover))


def started(
    standing: Standing, option: Option, situation: Situation
) -> tuple[Standing, tuple[HeapAction, ...]]:
    """Return the heaps ready for an option, and the actions to run it with."""
    if option.doing is Doing.INSULATE and option.new_shape is not None:
        return with_other_walls(standing, option.new_shape), ()
    return standing, tuple(_actions(option, float(standing.hour), situation.shape.cover))


def with_other_walls(standing: Standing, shape: BinShape) -> Standing:
    """Return the same heaps with other walls set round their bin."""
    copy = standing.copy()
    set_bin(copy.state.sites, shape, copy.state.parameters)
    return copy


def _actions(option: Option, hour: float, cover_before: Cover) -> Iterator[HeapAction]:
    doing = option.doing
    if option.addition is not None:
        yield HeapAction(hour=hour, kind=ActionKind.ADD, fill=fill_of(option.addition))
    if doing.is_move or doing is Doing.SPREAD:
        yield HeapAction(
            hour=hour,
            kind=ActionKind.MOVE,
            water_kg=option.water_kg,
            new_bin=option.new_shape,
        )
    elif doing.is_turn:
        yield HeapAction(hour=hour, kind=ActionKind.STIR, water_kg=option.water_kg)
    elif doing is Doing.WET:
        yield HeapAction(hour=hour, kind=ActionKind.WET, water_kg=option.water_kg)
    if option.cover is not cover_before:
        yield HeapAction(hour=hour, kind=ActionKind.COVER, cover=option.cover)


def airless_share(standing: Standing) -> FloatArray:
    """Return the share of each heap's dry matter whose pores are short of oxygen."""
    state = standing.state
    dry = state.dry_kg
    short = state.cells[:, layout.OXYGEN] < limits()["airless_oxygen"]
    return np.asarray((dry * short).sum(axis=(1, 2)) / dry.sum(axis=(1, 2)))


def open_food(standing: Standing, cover: Cover) -> FloatArray:
    """Return how much food flies find in each heap: 0 none, 1 all of it still fresh and open.

    The share of the degradable matter that is left, times the share of the surface that is cool
    and wet enough to breed in, less under a cover. Common practice: flies come to exposed food and
    to a surface that stays cool and wet.
    """
    table = limits()
    state = standing.state
    radii, heights = state.cells.shape[2:]
    ring = cell_shares(radii, heights).sum(axis=1)
    top = state.cells[:, :, :, -1]
    water, dry = top[:, layout.WATER], state.dry_kg[:, :, -1]
    breeds = (water / (water + dry) > table["fly_wet"]) & (
        top[:, layout.TEMPERATURE] < table["fly_warm_c"]
    )
    surface = (breeds * ring).sum(axis=1)
    reach = 1.0 if cover is Cover.OPEN else table["fly_capped_share"]
    return np.asarray(contents(standing).left * surface * reach)


def work_minutes(option: Option, volume_m3: float) -> float:
    """Return the work of an option for a heap of this volume. [min]"""
    table = limits()
    doing = option.doing
    minutes = table["water_minutes_kg"] * option.water_kg
    if option.addition is not None:
        minutes += table["container_minutes"] * sum(n for _, n in option.addition.lines)
    if doing.is_move:
        return minutes + table["move_minutes_m3"] * volume_m3
    if doing is Doing.SPREAD:
        return minutes + table["spread_minutes_m3"] * volume_m3
    if doing.is_turn:
        return minutes + table["stir_minutes_m3"] * volume_m3
    own = {Doing.WET: "wet_minutes", Doing.CAP: "cap_minutes", Doing.INSULATE: "insulate_minutes"}
    return minutes + (table[own[doing]] if doing in own else 0.0)


def _barrows(option: Option, volume_m3: float) -> float:
    """Return how many part-loaded barrows are moved."""
    if option.doing.is_move or option.doing is Doing.SPREAD:
        return volume_m3 / limits()["barrow_m3"]
    return 0.0


def _joined(pieces: Sequence[FloatArray]) -> FloatArray:
    """Return hourly pieces as one; the hour two of them share is told by the earlier one."""
    return np.concatenate([pieces[0], *(piece[1:] for piece in pieces[1:])])


def _over_days(looks: Sequence[tuple[int, FloatArray]]) -> FloatArray:
    """Return the sum over days of what was seen at each look, held since the look before."""
    total, before = np.zeros_like(looks[0][1]), 0
    for day, seen in looks:
        total = total + (day - before) * seen
        before = day
    return total


def subset(standing: Standing, members: int) -> Standing:
    """Return some members, drawn evenly by how much food is left in them.

    The order in which members came does not matter.
    """
    if standing.members <= members:
        return standing.chosen(_order(standing))
    places = (np.arange(members) + 0.5) * standing.members / members
    return standing.chosen(_order(standing)[places.astype(np.int64)])


def _order(standing: Standing) -> np.ndarray:
    heap = contents(standing)
    return np.lexsort((heap.nitrogen_kg, heap.dry_kg, heap.water_kg, heap.left)).astype(np.int64)
