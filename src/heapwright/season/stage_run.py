"""Runs well-kept heaps built through the year, and tells how long each of their stages takes.

Knows the order of a heap's life under the trade's rules: heat, fork inside-out, stir and wet
until turning no longer heats, cure. What each line is judged by stands in the tables of advice,
decisions and finish. Knows nothing of gardens, plans or dates.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache

import numpy as np

from heapwright.advice.signs import limits as advice_limits
from heapwright.decisions.finish_time import cardinal_temperature
from heapwright.decisions.tables import limits as doing_limits
from heapwright.finish.dates import spread_over
from heapwright.finish.guides import limits as finish_limits
from heapwright.finish.outcome import finished_volume_m3, finished_wet_kg, shrunk_volume_m3
from heapwright.heap.actions import apply_action
from heapwright.heap.resume import Standing, built, go_on
from heapwright.heap.types import ActionKind, BinShape, EnsembleRun, Fill, HeapAction
from heapwright.season.stage_types import STAGES, WEEKS, FloatArray, IntArray, StageLengths
from heapwright.tables import Estimate, parameter_table
from heapwright.weather.series import WeatherSeries

_HOURS_A_DAY = 24
_HOURS_A_WEEK = 7 * _HOURS_A_DAY
FIRST, MIDDLE, CURE, READY = range(4)


@dataclass(frozen=True, slots=True)
class HeapsBuilt:
    """What is built in every week that is run, one heap for each member.

    Attributes
    ----------
    shape : BinShape
        Of each bin of the row.
    fills : tuple of Fill, one for each member
    parameters : array, shape (members, numbers)
    build_water_kg : float
        Put in while building, held in the fills already. [kg]
    cure : Estimate
        Days of curing, as `finish.together.cure_days` tells them. [d]
    target_moisture : float
        To which it is wetted. [0-1]

    """

    shape: BinShape
    fills: tuple[Fill, ...]
    parameters: FloatArray
    build_water_kg: float
    cure: Estimate
    target_moisture: float

    @property
    def members(self) -> int:
        """How many."""
        return len(self.fills)


@cache
def settings() -> Mapping[str, float]:
    """Return the typical values of `data/stages.csv`."""
    table = parameter_table("heapwright.season", "data/stages.csv")
    return {name: row.typical for name, row in table.items()}


def weather_days() -> int:
    """Return how many days of weather from 1 January on `run_stages` needs."""
    return 7 * WEEKS + round(settings()["longest_days"])


def run_stages(heaps: HeapsBuilt, weather: WeatherSeries, *, threads: int = 1) -> StageLengths:
    """Return how long the stages of heaps take that are built through the year and kept well.

    FIRST ends when a core that was hot (`reheated_c`) has fallen out of the range that is left
    alone (`leave_alone_low_c`): the heap is forked inside-out. In MIDDLE it is stirred and wetted
    each time it has cooled below the line at which it wants air (`wants_air_c`), until the
    degradable matter left is at most what turning no longer heats (`spent_share`, one value for
    each heap) and the core is not hot. It is forked over once more and cures: for the days of the
    tables, counted in full at `cure_reference_c` or warmer, and by the model's own temperature
    form where its core is colder.

    Parameters
    ----------
    heaps : HeapsBuilt
    weather : WeatherSeries
        From 1 January on, `weather_days` long: a usual year and what follows.
    threads : int

    Returns
    -------
    StageLengths
        For the weeks that are run; `every_week` fills in the others.

    Raises
    ------
    OutOfRange
        If a heap cannot be.

    Notes
    -----
    The spread is that of the model's numbers and of what goes in. The weather is one usual year's,
    so that years differ more than is told here. Compost is told by half the heaps from the model's
    dry mass with published densities and moistures, by the other half from published shrinking
    (50 to 75 %, Colorado State): the two ways differ, and the range holds both.

    """
    weeks = np.arange(0, WEEKS, round(settings()["weeks_between"]))
    courses = [_course(heaps, weather, int(week) * _HOURS_A_WEEK, threads) for week in weeks]
    return StageLengths(
        weeks=weeks,
        days=np.stack([one.days for one in courses], axis=1),
        volume_share=np.stack([one.volume_share() for one in courses], axis=1),
        water_kg=np.stack([one.water_kg for one in courses], axis=1),
        stirs=np.stack([one.stirs for one in courses], axis=1),
        hottest_c=np.stack([one.hottest_c for one in courses]),
        built_m3=float(np.mean([fill.volume_m3 for fill in heaps.fills])),
    )


def _course(heaps: HeapsBuilt, weather: WeatherSeries, first: int, threads: int) -> _Course:
    """Return the course of the heaps built in an hour of the year, run until all are ready."""
    table = settings()
    visit = round(table["visit_hours"])
    until = round(table["longest_days"]) * _HOURS_A_DAY
    span = weather_from(weather, first, until)
    course = _Course(heaps)
    standing = built(heaps.shape, heaps.fills, span, heaps.parameters)
    depth_m = table["probe_share"] * float(
        np.mean(standing.state.volume_m3 / standing.state.foot_m2)
    )
    for hour in range(visit, until + 1, visit):
        run, standing = go_on(
            standing,
            span,
            hour,
            probe_depth_m=depth_m,
            threads=threads,
            stride_hours=round(table["stride_hours"]),
        )
        air_c = float(np.mean(span.temperature_c[hour - visit : hour]))
        staying = course.visit(run, standing, air_c)
        if not staying.size:
            break
        if staying.size < standing.members:
            standing = standing.chosen(staying)
    return course


def weather_from(weather: WeatherSeries, first: int, hours: int) -> WeatherSeries:
    """Return so many hours of a series from an hour on."""
    start = weather.start + first * (weather.end - weather.start) / weather.hours
    return weather.between(start, start + hours * (weather.end - weather.start) / weather.hours)


@dataclass(slots=True)
class _Course:
    """What became of the heaps built in one week, and how each stands.

    Arrays are of shape (members,) or (stages, members); `live` names the members still standing,
    in the order in which the ensemble that is run holds them.
    """

    heaps: HeapsBuilt
    live: IntArray = field(init=False)
    stage: IntArray = field(init=False)
    began_h: FloatArray = field(init=False)
    turned_h: FloatArray = field(init=False)
    hot_since: FloatArray = field(init=False)
    hottest_c: FloatArray = field(init=False)
    cured_days: FloatArray = field(init=False)
    days: FloatArray = field(init=False)
    water_kg: FloatArray = field(init=False)
    stirs: FloatArray = field(init=False)
    volumes_m3: FloatArray = field(init=False)
    dry_kg: FloatArray = field(init=False)
    spent_share: FloatArray = field(init=False)
    cure_days: FloatArray = field(init=False)

    def __post_init__(self) -> None:
        members = self.heaps.members
        self.live = np.arange(members)
        self.stage = np.zeros(members, dtype=np.int64)
        self.began_h, self.turned_h = np.zeros(members), np.zeros(members)
        self.hot_since, self.hottest_c = np.full((2, members), -np.inf)
        self.cured_days = np.zeros(members)
        self.days = np.full((STAGES, members), np.inf)
        self.water_kg, self.stirs = np.zeros((2, STAGES, members))
        self.water_kg[FIRST] = self.heaps.build_water_kg
        self.volumes_m3 = np.full((STAGES, members), np.nan)
        self.dry_kg = np.full(members, np.nan)
        self.spent_share = spread_over(finish_limits()["spent_share"], members)
        self.cure_days = spread_over(self.heaps.cure, members, turn=2)

    def visit(self, run: EnsembleRun, standing: Standing, air_c: float) -> IntArray:
        """Look at every heap, do what it needs; returns the places of those to run on."""
        peaks = run.probe_c.max(axis=0)
        self.hot_since[self.live] = np.maximum(self.hot_since[self.live], peaks)
        self.hottest_c[self.live] = np.maximum(self.hottest_c[self.live], peaks)
        self._cure(run, standing)
        staying = []
        for place, member in enumerate(self.live):
            if self.stage[member] == READY:
                self.dry_kg[member] = run.dry_mass_kg[-1, place]
                continue
            staying.append(place)
            self._look(int(member), place, run, standing, air_c)
        self.live = self.live[staying]
        return np.array(staying, dtype=np.int64)

    def _cure(self, run: EnsembleRun, standing: Standing) -> None:
        """Let the heaps that cure cure on, by the warmth of their core."""
        numbers = standing.state.parameters
        at_c = np.stack(
            [run.probe_c.mean(axis=0), np.full(self.live.size, settings()["cure_reference_c"])]
        )
        now, reference = cardinal_temperature(
            at_c,
            numbers["temperature_lowest_c"],
            numbers["temperature_best_c"],
            numbers["temperature_highest_c"],
        )
        span = (run.probe_c.shape[0] - 1) / _HOURS_A_DAY
        for place, member in enumerate(self.live):
            if self.stage[member] != CURE:
                continue
            done = span * min(1.0, now[place] / reference[place])
            lacking = self.cure_days[member] - self.cured_days[member]
            self.cured_days[member] += done
            if done >= lacking:
                late = span * (1.0 - lacking / done)
                self._end_stage(int(member), standing.hour - late * _HOURS_A_DAY)

    def _look(
        self, member: int, place: int, run: EnsembleRun, standing: Standing, air_c: float
    ) -> None:
        stage, core_c = int(self.stage[member]), float(run.probe_c[-1, place])
        if self._is_over(member, core_c, float(run.degradable_left[-1, place])):
            self.volumes_m3[stage, member] = run.volume_m3[-1, place]
            kind = ActionKind.MOVE
        elif stage != CURE and self._wants_stirring(member, core_c, standing.hour, air_c):
            self.stirs[stage, member] += 1
            kind = ActionKind.STIR
        else:
            kind = ActionKind.WET
        water = self._lacking_kg(run, place, kind, air_c)
        self.water_kg[stage, member] += water
        if kind is not ActionKind.WET:
            self.turned_h[member], self.hot_since[member] = standing.hour, -np.inf
        if kind is ActionKind.MOVE:
            self._end_stage(member, standing.hour)
        if kind is not ActionKind.WET or water > 0.0:
            self._act(standing, place, kind, water, air_c)

    def _is_over(self, member: int, core_c: float, left: float) -> bool:
        """Whether a heap's stage is over, but for curing."""
        spent = left <= self.spent_share[member]
        hot_c = finish_limits()["reheated_c"].typical
        if self.stage[member] == FIRST:
            was_hot = self.hottest_c[member] >= hot_c
            return bool(core_c < advice_limits()["leave_alone_low_c"] and (was_hot or spent))
        return bool(self.stage[member] == MIDDLE and spent and core_c < hot_c)

    def _wants_stirring(self, member: int, core_c: float, hour: int, air_c: float) -> bool:
        """Whether a heap with food left has cooled and is to be stirred and wetted where it is."""
        if core_c >= advice_limits()["wants_air_c"]:
            return False
        rested = (hour - self.turned_h[member]) / _HOURS_A_DAY
        if self.hot_since[member] >= finish_limits()["reheated_c"].typical:
            return bool(rested >= finish_limits()["reheat_wait_days"].high)
        is_mild = air_c >= doing_limits()["cold_air_c"]
        return bool(is_mild and rested >= settings()["restart_days"])

    def _lacking_kg(self, run: EnsembleRun, place: int, kind: ActionKind, air_c: float) -> float:
        """Return the water to give: at a turn up to the target, between turns only when dry."""
        moisture, limits = float(run.mean_moisture[-1, place]), doing_limits()
        is_due = kind is not ActionKind.WET or moisture < advice_limits()["dry_moisture"]
        if not is_due or air_c <= 0.0:
            return 0.0
        target = self.heaps.target_moisture
        wished = float(run.dry_mass_kg[-1, place]) * target / (1.0 - target)
        lacking = wished - float(run.water_kg[-1, place])
        # Half a pail is worth carrying, and less for a small heap.
        least = min(limits["worth_wetting_kg"], settings()["worth_wetting_share"] * wished)
        return lacking if lacking >= least else 0.0

    def _act(
        self, standing: Standing, place: int, kind: ActionKind, water_kg: float, air_c: float
    ) -> None:
        """Do it to one heap of the ensemble, in place."""
        one = standing.chosen(np.array([place]))
        bin_ahead = self.heaps.shape if kind is ActionKind.MOVE else None
        action = HeapAction(standing.hour, kind, water_kg=water_kg, new_bin=bin_ahead)
        apply_action(one.state, action, air_c)
        state = standing.state
        state.cells[place] = one.state.cells[0]
        state.sites[place], state.books[place] = one.state.sites[0], one.state.books[0]

    def _end_stage(self, member: int, hour: float) -> None:
        self.days[self.stage[member], member] = (hour - self.began_h[member]) / _HOURS_A_DAY
        self.began_h[member] = hour
        self.stage[member] += 1

    def volume_share(self) -> FloatArray:
        """Return the volume at each boundary as share of that built, shape (4, members)."""
        first = np.array([fill.volume_m3 for fill in self.heaps.fills])
        by_mass = finished_volume_m3(finished_wet_kg(self.dry_kg))
        by_shrinking = shrunk_volume_m3(first)
        turn = np.arange(first.size) % 2 == 0
        compost = np.where(turn, by_mass, np.where(np.isfinite(by_mass), by_shrinking, np.nan))
        ends = self.volumes_m3[FIRST], self.volumes_m3[MIDDLE]
        return np.asarray(np.stack([first, *ends, compost]) / first)
