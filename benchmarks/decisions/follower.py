"""The gardener who does what Today says: reads, squeezes, looks, follows.

Knows what is told to the program and how its answer is done. The program's own code answers: the
rules (`advice`), the fitted ensemble (`fitting`) and the comparison (`decisions`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np

from benchmarks.decisions.keepers import BROWN_SHARE, PAIL_M3, PAILS, Visit, leaves, of_leaves, turn
from benchmarks.decisions.truth import DEPTH_M, Truth
from benchmarks.decisions.worlds import DAYS, World, another_fill, world
from heapwright.advice.rules import Judgement, judged
from heapwright.advice.signs import limits as rule_limits
from heapwright.advice.types import HeapView, Interval, Job, TemperatureReading
from heapwright.decisions.amounts import water_needed_kg
from heapwright.decisions.choose import decide
from heapwright.decisions.contents import contents
from heapwright.decisions.types import Addition, Decision, Doing, Situation
from heapwright.fitting.beginning import begin
from heapwright.fitting.filter import follow
from heapwright.fitting.followed import Followed
from heapwright.fitting.observations import MoistureSeen, Seen, TemperatureSeen
from heapwright.fitting.settings import filter_settings
from heapwright.heap.parameters import parameters_at, sample_deviations
from heapwright.heap.resume import Standing, built
from heapwright.heap.types import ActionKind, FloatArray, HeapAction
from heapwright.materials.measured import squeeze_moisture

#: The person comes every third day; every seventh day at most a handful is squeezed.
VISIT_DAYS = tuple(range(2, DAYS, 3))
SQUEEZE_EVERY_DAYS = 6
#: For time: no later days (the next visit asks again), and no stirring where the heap can be moved
#: for the same work.
STIRRING = tuple(one for one in Doing if one.value.startswith("stir"))
#: Words of the squeeze test by the moisture that is felt.
FEELS = ((0.36, "dusty"), (0.44, "dry"), (0.55, "damp"), (0.62, "drops"), (1.0, "dripping"))
_SQUEEZE_SD = 0.05
_READING_SD_C, _PLACE_SD_C = 2.0, 2.5


@dataclass(slots=True)
class Follower:
    """One person with one heap, and the program on the phone."""

    truth: Truth
    ensemble: Followed | None = None
    used: int = 0
    done: list[HeapAction] = field(default_factory=list)
    readings: list[tuple[int, float]] = field(default_factory=list)
    told: list[Seen] = field(default_factory=list)
    squeezed: tuple[int, str] | None = None
    pails: int = PAILS
    turned: int | None = None
    turns: int = 0
    decisions: list[tuple[int, Decision]] = field(default_factory=list)

    def __call__(self, day: int) -> Sequence[HeapAction]:
        """Visit: tell what is seen, ask, and do what is said."""
        seen = self._look(day)
        self.told += seen
        self._follow()
        view = self._view()
        said = judged(view)
        actions = self._do(said, view)
        self.done += actions
        return actions

    def _look(self, day: int) -> list[Seen]:
        hour = 24 * day
        reading = self.truth.read_c()
        self.readings.append((hour, reading))
        error = float(np.hypot(_READING_SD_C, _PLACE_SD_C))
        seen: list[Seen] = [TemperatureSeen(hour, reading, DEPTH_M, 0.0, error)]
        if self.squeezed is None or hour - self.squeezed[0] >= 24 * SQUEEZE_EVERY_DAYS:
            felt = self.truth.felt_moisture()
            word = next(word for most, word in FEELS if felt <= most)
            self.squeezed = (hour, word)
            told = squeeze_moisture("no drops" if word == "damp" else word)
            seen.append(MoistureSeen(hour, told.low, told.high, _SQUEEZE_SD))
        return seen

    def _follow(self) -> None:
        """Follow the heap to this hour; its first days anew, since they choose the members."""
        world, settings = self.truth.world, filter_settings()
        seen = self.told[self.used :]
        if self.ensemble is None or self.truth.hour <= _first_hours():
            begun, deviations = _built(world)
            self.ensemble, used = begin(
                begun,
                deviations,
                world.told_weather,
                self.done,
                self.told,
                probe_depth_m=DEPTH_M,
                settings=settings,
            )
            seen = self.told[used:]
        self.ensemble = follow(
            self.ensemble,
            world.told_weather,
            self.done,
            seen,
            self.truth.hour,
            known=self.told,
            probe_depth_m=DEPTH_M,
            settings=settings,
            seed=world.seed,
        )
        self.used = len(self.told)

    def _view(self) -> HeapView:
        now, standing = self.truth.hour, self._standing()
        heap = contents(standing)
        lasts = rule_limits()["look_counts_hours"]
        fresh = self.squeezed is not None and (
            now - self.squeezed[0] <= lasts
            and (self.turned is None or self.squeezed[0] > self.turned)
        )
        return HeapView(
            age_days=now / 24.0,
            curing_days=None,
            readings=tuple(TemperatureReading(now - h, value) for h, value in self.readings),
            hours_since_turn=None if self.turned is None else float(now - self.turned),
            hours_since_wetting=None,
            turns=self.turns,
            moisture=_interval(heap.moisture),
            degradable_left=_interval(heap.left),
            core_tomorrow_c=None,
            squeeze=self.squeezed[1] if fresh and self.squeezed else "",
            smell="",
            pests=(),
            looks=(),
            is_capped=True,
            free_bin="next" if self.truth.world.has_next else "",
            water_to_target_kg=_interval(water_needed_kg(heap, rule_limits()["target_moisture"])),
            volume_m3=float(np.median(heap.volume_m3)),
        )

    def _standing(self) -> Standing:
        if self.ensemble is None:
            raise RuntimeError("the heap has not been followed yet")
        return self.ensemble.standing

    def _do(self, said: Judgement, view: HeapView) -> list[HeapAction]:
        now = self.truth.hour
        if said.is_open:
            decision = decide(
                self._situation(view),
                without=STIRRING if self.truth.world.has_next else (),
            )
            self.decisions.append((now, decision))
            option = decision.best.option
            if option.in_days:
                return []
            if option.doing.is_turn:
                return self._turn(option.water_kg, option.addition)
            if option.doing.gives_water:
                return [HeapAction(now, ActionKind.WET, water_kg=option.water_kg)]
            return []
        return self._by_rule(said.advice.job, view)

    def _by_rule(self, job: Job, view: HeapView) -> list[HeapAction]:
        """Do what a rule says that is not left to the comparison."""
        need = view.water_to_target_kg
        water = 0.0 if need is None else max(0.0, need.likely)
        if job in (Job.MOVE, Job.STIR):
            return self._turn(water, None)
        if job is Job.MIX_IN_BROWN:
            pails = min(round(BROWN_SHARE * view.volume_m3 / PAIL_M3), self.pails)
            return self._turn(0.0, of_leaves(pails) if pails else None)
        if job is Job.WET:
            return [HeapAction(self.truth.hour, ActionKind.WET, water_kg=water)]
        return []

    def _turn(self, water_kg: float, addition: Addition | None) -> list[HeapAction]:
        self.turned, self.turns = self.truth.hour, self.turns + 1
        if addition is not None:
            self.pails -= sum(count for _, count in addition.lines)
        return turn(self.truth.world, self.truth.hour, water_kg, addition)

    def _situation(self, view: HeapView) -> Situation:
        world = self.truth.world
        return Situation(
            standing=self._standing(),
            weather=world.told_weather,
            shape=world.shape,
            next_bin="next" if world.has_next else "",
            next_shape=world.shape if world.has_next else None,
            stock=(replace(leaves(), count=self.pails),) if self.pails else (),
            may_burn=False,
            squeeze=view.squeeze,
            smell="",
            is_curing=False,
            is_ready=False,
            probe_depth_m=DEPTH_M,
            later_days=(),
        )


def by_today(truth: Truth) -> Visit:
    """Return the keeper who follows Today."""
    return Follower(truth)


def _first_hours() -> float:
    """Return the hours in which readings choose among the heaps built, with a day to spare."""
    return 24.0 * (filter_settings().choosing_days + 1.0)


@lru_cache(maxsize=1)
def _ensemble(seed: int) -> tuple[Standing, FloatArray]:
    built_world, settings = world(seed), filter_settings()
    members = round(settings.members * settings.built_per_member)
    rng = np.random.default_rng([6, seed])
    deviations = sample_deviations(members, rng)
    fills = [another_fill(built_world.told_fill, rng) for _ in range(members)]
    standing = built(built_world.shape, fills, built_world.told_weather, parameters_at(deviations))
    return standing, deviations


def _built(of: World) -> tuple[Standing, FloatArray]:
    return _ensemble(of.seed)


def _interval(values: np.ndarray) -> Interval:
    low, likely, high = np.percentile(values, [10, 50, 90])
    return Interval(float(low), float(likely), float(high))
