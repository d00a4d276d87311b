"""The whole numbers a plan is made with: litres, hundredths of a load, kinds of heaps.

Knows how amounts are rounded so that what holds in whole numbers holds outside: what is needed and
what work costs is rounded up, what there is and what is yielded is rounded down. Solves nothing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from heapwright.season.rotation_plan import JobKind
from heapwright.season.rotation_types import (
    RotationProblem,
    Stage,
    StandingHeap,
    StuffClass,
)

LITRES = 1000.0
LOADS = 100.0
_TINY = 1e-6


def up(amount: float) -> int:
    """Return the whole number that is not below."""
    return math.ceil(amount - _TINY)


def down(amount: float) -> int:
    """Return the whole number that is not above."""
    return math.floor(amount + _TINY)


@dataclass(frozen=True, slots=True)
class HeapKind:
    """Heaps that take and give the same: all built in bins of one volume, or one standing heap.

    Attributes
    ----------
    built_in : tuple of int
        Bins it can be built in, by number; of a standing heap the bin it stands in.
    volume_m3 : tuple of float, one for each stage
        [m³]
    sure_l : int
        Compost counted on. [L]
    likely_m3 : float
        [m³]

    """

    built_in: tuple[int, ...]
    volume_m3: tuple[float, float, float]
    sure_l: int
    likely_m3: float


class RotationNumbers:
    """A problem in whole numbers.

    Attributes
    ----------
    weeks, bins : int
    kinds : tuple of HeapKind
        Of heaps to be built, by volume of bin, the largest first.
    standing : tuple of HeapKind
        One for each standing heap.

    """

    def __init__(self, problem: RotationProblem) -> None:
        self.problem = problem
        self.weeks = problem.weeks
        self.bins = len(problem.bins)
        self.kinds = self._kinds()
        self.standing = tuple(self._standing_kind(heap) for heap in problem.standing)
        self.caps = tuple(down(loads * LOADS) for loads in problem.work_loads)
        self._arriving = {
            stuff.key: tuple(down(m3 * LITRES) for m3 in stuff.arriving_m3)
            for stuff in problem.stuff
        }
        self.work_weeks = tuple(week for week, cap in enumerate(self.caps) if cap > 0)

    def _kinds(self) -> tuple[HeapKind, ...]:
        form, by_volume = self.problem.form, dict[float, list[int]]()
        for number, one in enumerate(self.problem.bins):
            is_large_enough = one.volume_m3 >= form.least_build_m3 and one.volume_m3 > 0.0
            if is_large_enough and Stage.FIRST in one.stages:
                by_volume.setdefault(one.volume_m3, []).append(number)
        return tuple(
            HeapKind(
                built_in=tuple(numbers),
                volume_m3=(
                    volume * form.volume_share[0],
                    volume * form.volume_share[1],
                    volume * form.volume_share[2],
                ),
                sure_l=down(volume * form.yield_share.sure * LITRES),
                likely_m3=volume * form.yield_share.likely,
            )
            for volume, numbers in sorted(by_volume.items(), reverse=True)
        )

    def _standing_kind(self, heap: StandingHeap) -> HeapKind:
        return HeapKind(
            built_in=(self.problem.bin_numbers[heap.bin_key],),
            volume_m3=(heap.volume_m3,) * 3,
            sure_l=down(heap.yield_m3.sure * LITRES),
            likely_m3=heap.yield_m3.likely,
        )

    def loads(self, kind: HeapKind, job: JobKind, stage: int) -> int:
        """Return what a job costs by which such a heap enters a stage (or is harvested)."""
        work = self.problem.work
        if job is JobKind.HARVEST:
            return up(kind.likely_m3 / work.barrow_m3 * work.harvest * LOADS)
        rate = {JobKind.BUILD: work.build, JobKind.MOVE: work.move, JobKind.STIR: work.stir}[job]
        return up(kind.volume_m3[stage] / work.barrow_m3 * rate * LOADS)

    def stirring(self, kind: HeapKind, stage: int) -> int:
        """Return what regular stirring costs in each week of a stage."""
        work = self.problem.work
        if work.stirs_a_week[stage] <= 0.0:
            return 0
        loads = kind.volume_m3[stage] / work.barrow_m3 * work.stir * work.stirs_a_week[stage]
        return up(loads * LOADS)

    def may_stand(self, kind: HeapKind, stage: int, bin_number: int) -> bool:
        """Return whether such a heap may begin a stage in a bin, by the bin's use and volume."""
        one = self.problem.bins[bin_number]
        # Where a heap stands it may be heaped above the brim.
        fits = kind.volume_m3[stage] <= one.volume_m3 + _TINY or bin_number in kind.built_in
        return Stage(stage) in one.stages and fits

    def need_l(self, stuff: StuffClass, kind: HeapKind, week: int) -> int:
        """Return what building such a heap in that week takes of a class. [L]"""
        volume = self.problem.bins[kind.built_in[0]].volume_m3
        return up(stuff.need_m3_per_m3[week] * volume * LITRES)

    def arrived_l(self, stuff: StuffClass) -> list[int]:
        """Return what has come up to each week, on hand included. [L]"""
        there, arrived = sum(litres for litres, _ in self.on_hand_l(stuff)), []
        for litres in self._arriving[stuff.key]:
            there += litres
            arrived.append(there)
        return arrived

    def arriving_l(self, stuff: StuffClass, week: int) -> int:
        """Return what comes in a week. [L]"""
        return self._arriving[stuff.key][week]

    def gone_l(self, stuff: StuffClass) -> list[int]:
        """Return how much of what has come is spoilt before each week, if not used. [L]"""
        gone = []
        for week in range(self.weeks):
            spoilt = sum(litres for litres, last in self.on_hand_l(stuff) if last < week)
            old = self._arriving[stuff.key][: max(0, week - stuff.keeps_weeks)]
            gone.append(spoilt + sum(old))
        return gone

    def on_hand_l(self, stuff: StuffClass) -> list[tuple[int, int]]:
        """Return what is there in week 0 as (litres, last week it can be built in)."""
        # Never longer than what arrives in week 0 keeps: the proof in rotation_model leans on it
        # that what came later also spoils later.
        return [
            (down(lot.volume_m3 * LITRES), min(lot.weeks_left, stuff.keeps_weeks))
            for lot in stuff.on_hand
            if lot.weeks_left >= 0
        ]

    @cached_property
    def compost_l(self) -> int:
        """Compost in store. [L]"""
        return down(self.problem.compost_on_hand_m3 * LITRES)

    @cached_property
    def wished_l(self) -> tuple[int, ...]:
        """What each bed waits for; 0 for one due outside the horizon. [L]"""
        return tuple(
            up(bed.compost_m3 * LITRES) if 0 <= bed.due_week < self.weeks else 0
            for bed in self.problem.beds
        )
