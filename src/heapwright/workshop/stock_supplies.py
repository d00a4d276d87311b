"""What there is to build with through the year, lots on hand and arrivals, as greens and browns.

Knows which lots and arrivals make up a class, how long they keep, and what a heap takes of each in
every week. Knows no plan.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import OutOfRange
from heapwright.journal.entries import LotState
from heapwright.journal.entries_year import ArrivalState
from heapwright.materials.table import load_materials
from heapwright.materials.types import Material, Packing, Permission, Role
from heapwright.mixing.targets import band, target
from heapwright.quantities.containers import container_words
from heapwright.season.arrivals import Season, counted_on, weekly_m3
from heapwright.season.needs import BROWNS, GREENS, Matter, blended, loose_lot, matter_of
from heapwright.season.outlook import Cohort, cohorts_of
from heapwright.season.rotation_types import StuffClass, StuffOnHand
from heapwright.season.saving import YearNeeds, needs_by_week
from heapwright.season.stage_types import WEEKS
from heapwright.sentences import Sentence, say, word
from heapwright.wording import worded
from heapwright.workshop.garden import Garden
from heapwright.workshop.lots import material_of, mixing_lot
from heapwright.workshop.usual_heap import LIKELY_BROWNS, LIKELY_GREENS
from heapwright.workshop.weather import rainfall_kind

FloatArray = NDArray[np.float64]
_DAYS_A_WEEK = 7
#: Roles that carry a heap; the others change neither heat nor C:N.
_CARRYING = (Role.GREEN, Role.BROWN, Role.SUPPLEMENT)


@dataclass(frozen=True, slots=True)
class Flow:
    """One lot on hand, or one thing that arrives in its season.

    Attributes
    ----------
    key, name : str
        Of the lot or the arrival; the material's name.
    kind : str
        "greens" or "browns".
    material : Material
    matter : Matter
        What one m³ of it holds as it is stored.
    weekly_m3 : array, shape (3, weeks)
        What comes in each week: low, likely, high; of a lot all in week 0. [m³]
    keeps_weeks : int
        Weeks after its coming in which it can still be built in; below 0 when it is spoilt.
    is_lot : bool
    container_name : str
        What it is counted in, "" for none.
    container_m3 : float
        What one of them holds, as full as they are; 0 without.

    """

    key: str
    name: str
    kind: str
    material: Material
    matter: Matter
    weekly_m3: FloatArray
    keeps_weeks: int
    is_lot: bool
    container_name: str = ""
    container_m3: float = 0.0

    def cohorts(self, row: FloatArray) -> list[Cohort]:
        """Return what comes as cohorts, by a row of `weekly_m3` or one made of it."""
        return cohorts_of([float(volume) for volume in row], self.keeps_weeks)


@dataclass(frozen=True, slots=True)
class Stuff:
    """All there is to build with in the 52 weeks from a day.

    Attributes
    ----------
    first_day : date
        Monday of week 0.
    flows : tuple of Flow
        Lots first.
    needs : YearNeeds
        What a m³ of new heap takes in each week.
    notes : tuple of Sentence
        What had to be assumed.

    """

    first_day: date
    flows: tuple[Flow, ...]
    needs: YearNeeds
    notes: tuple[Sentence, ...]

    def of_kind(self, kind: str) -> tuple[Flow, ...]:
        """Return the flows of a class, "greens" or "browns"."""
        return tuple(one for one in self.flows if one.kind == kind)


def supplies(
    garden: Garden,
    first_day: date,
    *,
    shredding: bool | None = None,
    sureness: float | None = None,
) -> tuple[StuffClass, ...]:
    """Return greens and browns as a rotation plan takes them.

    Parameters
    ----------
    garden : Garden
    first_day : date
        Monday of week 0.
    shredding : bool, optional
        Whether loose leaves are shredded when they are built in; as wished if not given.
    sureness : float, optional
        Share of the years in which at least so much is there; as wished if not given. [0-1]

    Returns
    -------
    tuple of StuffClass
        "greens" and "browns". A class keeps as long as at least half of what arrives in it.

    """
    wishes = garden.state().year.wishes
    found = stuff(garden, first_day, shredding=shredding)
    sure = wishes.sureness if sureness is None else sureness
    return (
        _class(found, GREENS, worded("greens"), found.needs.greens_m3, sure),
        _class(found, BROWNS, worded("browns"), found.needs.browns_m3, sure),
    )


def _class(found: Stuff, kind: str, name: str, need_m3: FloatArray, sure: float) -> StuffClass:
    flows = found.of_kind(kind)
    lots = [one for one in flows if one.is_lot and one.keeps_weeks >= 0]
    arriving = np.zeros(found.needs.weeks)
    for one in flows:
        if not one.is_lot:
            arriving = arriving + counted_on(one.weekly_m3, sure)
    return StuffClass(
        key=kind,
        name=name,
        on_hand=tuple(
            StuffOnHand(float(counted_on(one.weekly_m3, sure)[0]), one.keeps_weeks) for one in lots
        ),
        arriving_m3=tuple(float(volume) for volume in arriving),
        keeps_weeks=_half_keep(flows),
        need_m3_per_m3=tuple(float(volume) for volume in need_m3[:, 0]),
    )


def _half_keep(flows: tuple[Flow, ...]) -> int:
    """Return for how many weeks at least half of what arrives keeps, by its likely volume."""
    coming = [(one.keeps_weeks, float(one.weekly_m3[1].sum())) for one in flows if not one.is_lot]
    total, so_far = sum(volume for _, volume in coming), 0.0
    for keeps, volume in sorted(coming, reverse=True):
        so_far += volume
        if so_far >= 0.5 * total > 0.0:
            return max(0, keeps)
    return 0


def stuff(garden: Garden, first_day: date, *, shredding: bool | None = None) -> Stuff:
    """Return all there is to build with in the 52 weeks from a Monday.

    Parameters
    ----------
    garden : Garden
    first_day : date
    shredding : bool, optional
        As for `supplies`.

    """
    state = garden.state()
    shreds = state.year.wishes.shredding if shredding is None else shredding
    flows = (
        *(_of_lot(lot, garden.now(), shreds) for lot in state.lots.values() if _counts(lot)),
        *(
            _of_arrival(one, first_day, shreds)
            for one in state.year.arrivals_in_use.values()
            if _carries(load_materials()[one.material_key])
        ),
    )
    today = garden.now().astimezone(ZoneInfo(state.settings.time_zone)).date()
    flows = tuple(_by_weeks(one, (today - first_day).days) if one.is_lot else one for one in flows)
    needs, notes = _needs(flows, target(f"wish_moisture_{rainfall_kind(garden)}").typical, shreds)
    return Stuff(first_day, flows, needs, notes)


def kind_of(material: Material) -> str:
    """Return which class a material belongs to: browns are what can bring a heap's C:N up.

    Those above the acceptable band of a new heap (Cooperband 2002: up to 40).
    """
    return BROWNS if material.c_to_n > band("wish_c_to_n").high else GREENS


def _carries(material: Material) -> bool:
    refused = material.hazard is not None and material.hazard.permission is Permission.REFUSED
    return material.role in _CARRYING and material.has_numbers and not refused


def _counts(lot: LotState) -> bool:
    return lot.left > lot.keep_back and _carries(material_of(lot))


def _of_lot(state: LotState, now: datetime, shreds: bool) -> Flow:
    lot = mixing_lot(state, now)
    one_m3 = state.container_volume_m3
    there = (state.left - state.keep_back) * one_m3 * np.array(state.fullness)
    weekly = np.zeros((3, WEEKS))
    weekly[:, 0] = there
    return Flow(
        key=state.key,
        name=lot.material.name,
        kind=kind_of(lot.material),
        material=lot.material,
        matter=_as_built(matter_of(lot), lot.material, lot.packing, shreds),
        weekly_m3=weekly,
        # In days for the moment; the caller knows which day of the week it is.
        keeps_weeks=int(np.floor(lot.material.keeps_days.typical - lot.age_days)),
        is_lot=True,
        container_name=state.container_name,
        container_m3=one_m3 * state.fullness[1],
    )


def _by_weeks(lot: Flow, days_into_week: int) -> Flow:
    """Return a lot whose time is told in weeks from week 0, not in days from today."""
    if lot.keeps_weeks < 0:
        return replace(lot, keeps_weeks=-1)
    return replace(lot, keeps_weeks=(days_into_week + lot.keeps_weeks) // _DAYS_A_WEEK)


def _of_arrival(state: ArrivalState, first_day: date, shreds: bool) -> Flow:
    material = load_materials()[state.material_key]
    packing = Packing(state.packing)
    keeps = state.keeps_days[1] if state.keeps_days else material.keeps_days.typical
    season = Season(state.from_day, state.to_day)
    return Flow(
        key=state.key,
        name=material.name,
        kind=kind_of(material),
        material=material,
        matter=_as_built(matter_of(loose_lot(material, packing)), material, packing, shreds),
        weekly_m3=weekly_m3(season, state.volume_m3_week, first_day, WEEKS),
        keeps_weeks=int(keeps // _DAYS_A_WEEK),
        is_lot=False,
        container_name=state.container_name,
        container_m3=_filled_m3(state),
    )


def _filled_m3(state: ArrivalState) -> float:
    """Return what the container of an arrival holds, as full as such a one usually is."""
    known = container_words().get(state.container_name.lower())
    fullness = 1.0 if known is None else known.usual_fullness.typical
    return (state.container_volume_m3 or 0.0) * fullness


def _as_built(matter: Matter, material: Material, packing: Packing, shreds: bool) -> Matter:
    """Return the matter as it lies in a heap: loose leaves shredded first, where that is done."""
    if not shreds or material.kind != "leaf" or packing is not Packing.LOOSE:
        return matter
    loose, shredded = (
        matter_of(loose_lot(material, how)).mass_kg for how in (Packing.LOOSE, Packing.SHREDDED)
    )
    return replace(matter, heap_m3=matter.heap_m3 * loose / shredded)


def _needs(
    flows: tuple[Flow, ...], moisture: float, shreds: bool
) -> tuple[YearNeeds, tuple[Sentence, ...]]:
    greens = [one for one in flows if one.kind == GREENS]
    browns = [one for one in flows if one.kind == BROWNS]
    notes: list[Sentence] = []
    by_week = [_blend(greens, week) for week in range(WEEKS)]
    if not any(one is not None for one in by_week):
        by_week = [blended([(_likely(key, shreds), 1.0) for key in LIKELY_GREENS])] * WEEKS
        notes.append(say("No green is written down: what a heap takes is told for a likely one."))
    brown = _all_together(browns)
    if brown is None:
        brown = _likely(LIKELY_BROWNS, shreds)
        name = load_materials()[LIKELY_BROWNS].name
        notes.append(
            say(
                "No brown is written down: what a heap takes is told for {brown}.", brown=word(name)
            )
        )
    try:
        return needs_by_week(by_week, brown, moisture=moisture), tuple(notes)
    except OutOfRange as problem:  # by this person's own figures the browns are none
        notes.append(say("{why}", why=word(problem.explanation())))
        brown = _likely(LIKELY_BROWNS, shreds)
        return needs_by_week(by_week, brown, moisture=moisture), tuple(notes)


def _likely(key: str, shreds: bool) -> Matter:
    material = load_materials()[key]
    return _as_built(matter_of(loose_lot(material)), material, Packing.LOOSE, shreds)


def _blend(greens: list[Flow], week: int) -> Matter | None:
    """Return the greens that can be built in in a week, None where there are none."""
    parts = [(one.matter, _usable(one, week)) for one in greens]
    parts = [part for part in parts if part[1] > 0.0]
    return blended(parts) if parts else None


def _usable(flow: Flow, week: int) -> float:
    """Return the likely volume that is there in a week when nothing was taken before. [m³]"""
    if flow.keeps_weeks < 0:
        return 0.0
    first = max(0, week - flow.keeps_weeks)
    return float(flow.weekly_m3[1, first : week + 1].sum())


def _all_together(browns: list[Flow]) -> Matter | None:
    """Return the browns of the whole year together, since they keep; None without any."""
    parts = [(one.matter, float(one.weekly_m3[1].sum())) for one in browns if one.keeps_weeks >= 0]
    parts = [part for part in parts if part[1] > 0.0]
    return blended(parts) if parts else None


def until(first_day: date, week: int) -> date:
    """Return the first day of a week."""
    return first_day + timedelta(days=_DAYS_A_WEEK * week)
