"""Answers how the stock goes through the year: what arrives, what runs out, how much to save.

Knows how stuff, planned heaps and seasons come together. Knows no words (`stock_ahead_words`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import WeatherProblem
from heapwright.quantities.containers import Container, container_words
from heapwright.season.arrivals import Season, mown_volume
from heapwright.season.needs import BROWNS, GREENS
from heapwright.season.outlook import Cohort, StockYear, stock_year
from heapwright.season.saving import (
    BuildNeed,
    PlannedBuild,
    Saving,
    builds_need,
    to_save,
)
from heapwright.season.stage_types import WEEKS
from heapwright.sentences import Sentence
from heapwright.tables import Estimate
from heapwright.workshop import stock_ahead_words as words
from heapwright.workshop import year_kept
from heapwright.workshop.arrivals import leaf_fall_here
from heapwright.workshop.garden import Garden
from heapwright.workshop.stage_lengths import running_week
from heapwright.workshop.stock_ahead_answer import (
    BuildAhead,
    ClassAhead,
    SavingAhead,
    StockAhead,
    Three,
)
from heapwright.workshop.stock_supplies import Flow, Stuff, stuff

FloatArray = NDArray[np.float64]
LIKELY = 1
_DAYS_A_WEEK = 7
#: What leaves are saved in where nothing else is written down.
_USUAL_BAG = "39 gal leaf bag"


@dataclass(frozen=True, slots=True)
class Building:
    """Heaps to be built, and where they are known from."""

    builds: tuple[PlannedBuild, ...]
    told: Sentence


def stock_ahead(garden: Garden, builds: Sequence[PlannedBuild] | None = None) -> StockAhead:
    """Return how the stock goes through the 52 weeks from the running one.

    Parameters
    ----------
    garden : Garden
    builds : sequence of PlannedBuild, optional
        Heaps to be built, by week from the running one. If not given, those of the year's last
        plan; without one that is fresh, as many as were built in the last 52 weeks, each a year
        later.

    """
    first_day = running_week(garden)
    counted = _building(garden, first_day) if builds is None else _given(builds)
    found = stuff(garden, first_day)
    gather = garden.state().year.wishes.gather_weeks
    needs = builds_need(counted.builds, found.needs)
    one = builds_need([PlannedBuild(0, _bin_m3(garden))], found.needs)[0]
    saving = _saving(garden, found, counted.builds)
    return StockAhead(
        first_day=first_day,
        mondays=tuple(first_day + timedelta(weeks=week) for week in range(WEEKS)),
        classes=(
            _class(found, GREENS, [(one.build.week, one.greens_m3) for one in needs], one, gather),
            _class(found, BROWNS, [(one.build.week, one.browns_m3) for one in needs], one, 0),
        ),
        builds=tuple(_build(first_day, one) for one in needs),
        builds_from=counted.told,
        saving=saving,
        one_heap=_build(first_day, one),
        notes=(*found.notes, *words.notes(found)),
    )


def _given(builds: Sequence[PlannedBuild]) -> Building:
    return Building(tuple(builds), words.given())


def _building(garden: Garden, first_day: date) -> Building:
    plan = year_kept.read(garden.path)
    if plan is not None and not year_kept.is_old(plan, first_day):
        starts = [
            (plan.first_day + timedelta(weeks=batch.build_week), batch.stays[0].bin_key)
            for batch in plan.plan.batches
            if batch.build_week is not None
        ]
        return Building(_in_weeks(garden, starts, first_day), words.by_plan(plan.first_day))
    zone = ZoneInfo(garden.state().settings.time_zone)
    year_ago = first_day - timedelta(weeks=WEEKS)
    days = [
        (batch.built_at.astimezone(zone).date(), _first_bin(batch.entries[0].body))
        for batch in garden.state().batches.values()
    ]
    again = [(day + timedelta(weeks=WEEKS), key) for day, key in days if year_ago <= day]
    builds = _in_weeks(garden, again, first_day)
    return Building(builds, words.like_last_year() if builds else words.nothing_planned())


def _first_bin(body: object) -> str:
    return str(body.get("bin", "")) if hasattr(body, "get") else ""


def _in_weeks(
    garden: Garden, starts: Sequence[tuple[date, str]], first_day: date
) -> tuple[PlannedBuild, ...]:
    bins = garden.state().bins
    found = []
    for day, bin_key in sorted(starts):
        week = (day - first_day).days // _DAYS_A_WEEK
        if 0 <= week < WEEKS and bin_key in bins:
            one = bins[bin_key]
            found.append(PlannedBuild(week, one.width_m * one.depth_m * one.height_m))
    return tuple(found)


def _bin_m3(garden: Garden) -> float:
    bins = list(garden.state().bins_in_use.values())
    return bins[0].width_m * bins[0].depth_m * bins[0].height_m if bins else 1.0


def _class(
    found: Stuff,
    kind: str,
    wants: Sequence[tuple[int, Estimate]],
    one: BuildNeed,
    gather_weeks: int,
) -> ClassAhead:
    flows = found.of_kind(kind)
    years = [_year(flows, row, wants, gather_weeks) for row in range(3)]
    there = [year.left_m3 + year.used_m3 + year.spoiled_m3 for year in years]
    likely = years[LIKELY]
    out, soonest = (_monday(found.first_day, year.runs_out_week) for year in (likely, years[0]))
    wanted = np.zeros(WEEKS)
    for week, need in wants:
        wanted[week] += need.typical
    spoiled = [float(year.spoiled_m3.sum()) for year in years]
    answer = ClassAhead(
        key=kind,
        there_low_m3=_floats(there[0]),
        there_m3=_floats(there[LIKELY]),
        there_high_m3=_floats(there[2]),
        wanted_m3=_floats(wanted),
        came_m3=_rising([float(year.came_m3.sum()) for year in years]),
        spoiled_m3=_rising(spoiled),
        runs_out=out,
        runs_out_soonest=soonest,
        most_m3=_most_together(flows, gather_weeks),
        gather_weeks=gather_weeks,
        told=(),
    )
    return words.with_words(answer, one, bool(wants), bool(flows))


def _most_together(flows: Sequence[Flow], gather_weeks: int) -> float:
    """Return the most that is likely there for one heap, over the weeks of its filling. [m³]"""
    return max(
        sum(
            float(
                flow.weekly_m3[
                    LIKELY, max(0, week - flow.keeps_weeks) : week + gather_weeks + 1
                ].sum()
            )
            for flow in flows
            if flow.keeps_weeks >= 0
        )
        for week in range(WEEKS)
    )


def _year(
    flows: Sequence[Flow], row: int, wants: Sequence[tuple[int, Estimate]], gather_weeks: int
) -> StockYear:
    """Return a class through the weeks: row 0 when little comes, 2 when much does."""
    cohorts = [one for flow in flows for one in flow.cohorts(flow.weekly_m3[row])]
    wanted = [0.0] * WEEKS
    for week, need in wants:
        wanted[week] += need.typical
    return stock_year(cohorts, wanted, gather_weeks)


def _saving(garden: Garden, found: Stuff, builds: Sequence[PlannedBuild]) -> SavingAhead | None:
    if not builds:
        return None
    try:
        season = _leaf_season(garden, found)
    except WeatherProblem:
        return None
    fall_week, from_day, to_day = _next_fall(season, found.first_day)
    leaves = [one for one in found.of_kind(BROWNS) if _is_fallen(one)]
    others = [one for one in found.of_kind(BROWNS) if not _is_fallen(one)]
    there = [_with_next_year(others, row) for row in range(3)]
    saving = to_save(builds, found.needs, fall_week, there)
    # This fall alone: the year's last weeks may hold the beginning of the next.
    end = (to_day - found.first_day).days // _DAYS_A_WEEK + 1
    falling = [one.weekly_m3[:, fall_week:end].sum(axis=1) for one in leaves]
    falls = np.sum(falling, axis=0) if leaves else None
    name, bag_m3 = _bag(found)
    counted = _counted(saving, from_day, to_day, falls, name, bag_m3)
    return words.saving_told(counted, saving, garden.state().year.wishes.leaf_store_m3)


def _with_next_year(flows: Sequence[Flow], row: int) -> list[Cohort]:
    """Return what is there and comes, what arrives this year arriving again in the next."""
    found = []
    for flow in flows:
        now = flow.cohorts(flow.weekly_m3[row])
        found += now
        if not flow.is_lot:
            found += [Cohort(c.week + WEEKS, c.volume_m3, c.last_week + WEEKS) for c in now]
    return found


def _counted(
    saving: Saving,
    from_day: date,
    to_day: date,
    falls: FloatArray | None,
    name: str,
    bag_m3: float,
) -> SavingAhead:
    return SavingAhead(
        from_day=from_day,
        to_day=to_day,
        needed_m3=three(saving.needed_m3),
        save_m3=three(saving.save_m3),
        short_before_m3=three(saving.short_before_m3),
        falls_m3=None if falls is None else _rising([float(one) for one in falls]),
        container_name=name,
        container_m3=bag_m3,
        bags=_bags(three(saving.save_m3), bag_m3),
        shredded_bags=_bags(_mown(saving.save_m3), bag_m3),
        told=(),
    )


def _mown(loose: Estimate) -> Three:
    if loose.typical <= 0.0:
        return (0.0, 0.0, mown_volume(Estimate.exactly(loose.high)).high)
    return three(mown_volume(loose))


def _bags(volumes: Three, bag_m3: float) -> tuple[int, int, int]:
    low, likely, high = (math.ceil(volume / bag_m3 - 1e-9) for volume in volumes)
    return low, likely, high


def _is_fallen(flow: Flow) -> bool:
    """Whether something that arrives is the leaves of autumn, which are there to be saved."""
    return flow.material.kind == "leaf" and not flow.is_lot


def _leaf_season(garden: Garden, found: Stuff) -> Season:
    """Return when leaves fall: as written down, else by the usual weather."""
    year = garden.state().year.arrivals_in_use
    leaves = [year[one.key] for one in found.of_kind(BROWNS) if _is_fallen(one)]
    if leaves:
        most = max(leaves, key=lambda one: one.volume_m3_week[1])
        return Season(most.from_day, most.to_day)
    return leaf_fall_here(garden)


def _next_fall(season: Season, first_day: date) -> tuple[int, date, date]:
    """Return the week in which leaves fall next (0 while they do), its first and last day."""
    first = next(
        day for n in range(7 * WEEKS + 7) if season.holds(day := first_day + timedelta(days=n))
    )
    last = first
    while season.holds(last + timedelta(days=1)) and (last - first).days < 7 * WEEKS:
        last += timedelta(days=1)
    return min((first - first_day).days // _DAYS_A_WEEK, WEEKS - 1), first, last


def _bag(found: Stuff) -> tuple[str, float]:
    """Return what browns are kept in here: the container of most of them, else a leaf bag."""
    kept = [one for one in found.of_kind(BROWNS) if one.container_name and one.container_m3 > 0]
    if kept:
        most = max(kept, key=lambda one: float(one.weekly_m3[LIKELY].sum()))
        return most.container_name, most.container_m3
    bag: Container = container_words()[_USUAL_BAG]
    return bag.name, bag.volume_m3 * bag.usual_fullness.typical


def _build(first_day: date, need: BuildNeed) -> BuildAhead:
    day = first_day + timedelta(weeks=need.build.week)
    return BuildAhead(
        day=day,
        volume_m3=need.build.volume_m3,
        greens_m3=three(need.greens_m3),
        browns_m3=three(need.browns_m3),
        water_kg=three(need.water_kg),
        told=words.build_told(day, need),
    )


def three(estimate: Estimate) -> Three:
    """Return an estimate's low, likely and high."""
    return estimate.low, estimate.typical, estimate.high


def _rising(values: Sequence[float]) -> Three:
    low, likely, high = sorted(values)
    return low, likely, high


def _floats(values: FloatArray) -> tuple[float, ...]:
    return tuple(float(value) for value in values)


def _monday(first_day: date, week: int | None) -> date | None:
    return None if week is None else first_day + timedelta(weeks=week)
