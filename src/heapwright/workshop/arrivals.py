"""Answers what is expected to arrive in its season; enters, alters, drops and proposes it.

Knows which entries tell of an arrival and what a household and its garden give by the sources.
Knows nothing of forms or of what becomes of the stock.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import numpy as np

from heapwright.errors import NotFound
from heapwright.journal.entries import EntryKind
from heapwright.journal.entries_year import ArrivalState
from heapwright.materials.hazards import check_allowed
from heapwright.materials.search import find_material
from heapwright.materials.table import load_materials
from heapwright.materials.types import Material, Permission
from heapwright.quantities.containers import Container
from heapwright.season.arrivals import (
    Season,
    clippings_m3_week,
    coffee_m3_week,
    figures,
    leaf_fall,
    leaves_m3_week,
    mowing_season,
    scraps_m3_week,
    weeks_of,
)
from heapwright.season.stage_types import WEEKS
from heapwright.sentences import Measure, Sentence, days, inside, say, span, volume, word
from heapwright.tables import Estimate
from heapwright.weather.projection import on_dates
from heapwright.wording import dated, worded
from heapwright.workshop.answers import LogAnswer
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log
from heapwright.workshop.setup import free_key
from heapwright.workshop.stage_lengths import A_YEAR
from heapwright.workshop.stock_supplies import kind_of
from heapwright.workshop.weather import usual_year

Three = tuple[float, float, float]
ALL_YEAR = Season("01-01", "12-31")
_HOURS_A_WEEK = 168
_NEW_YEAR = date(2000, 1, 1)


@dataclass(frozen=True, slots=True)
class ArrivalLine:
    """Something that is expected in its season.

    Attributes
    ----------
    arrival : ArrivalState
    material_name : str
    kind : str
        "greens" or "browns".
    year_m3 : (low, typical, high)
        In a whole year. [m³]
    keeps_days : (low, typical, high)
        As this person keeps it, else as the table says. [d]
    told : Sentence
        When it comes, and how much.
    cautions : tuple of str
        What to mind when handling it.

    """

    arrival: ArrivalState
    material_name: str
    kind: str
    year_m3: Three
    keeps_days: Three
    told: Sentence
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Proposal:
    """What a household or its garden is likely to give, to be put right by counting.

    Attributes
    ----------
    material_key, material_name : str
    volume_m3_week : (low, typical, high)
        [m³/week]
    season : Season
    told : Sentence
        How much and when, and from which source.

    """

    material_key: str
    material_name: str
    volume_m3_week: Three
    season: Season
    told: Sentence


def arrivals(garden: Garden) -> tuple[ArrivalLine, ...]:
    """Return what is expected, by name."""
    lines = [_line(one) for one in garden.state().year.arrivals_in_use.values()]
    return tuple(sorted(lines, key=lambda line: (line.material_name, line.arrival.key)))


def _line(state: ArrivalState) -> ArrivalLine:
    material = load_materials()[state.material_key]
    season = Season(state.from_day, state.to_day)
    keeps = material.keeps_days
    keeps_days = state.keeps_days or (keeps.low, keeps.typical, keeps.high)
    low, typical, high = (weekly * weeks_of(season) for weekly in state.volume_m3_week)
    return ArrivalLine(
        arrival=state,
        material_name=material.name,
        kind=kind_of(material),
        year_m3=(low, typical, high),
        keeps_days=keeps_days,
        told=say(
            "{season}: {volume} a week, likely {year} in a year; it keeps {keeps}.",
            season=inside(season_words(season)),
            volume=span(state.volume_m3_week[0], state.volume_m3_week[2], Measure.VOLUME),
            year=volume(typical),
            keeps=days(keeps_days[1]),
        ),
        cautions=material.cautions,
    )


def season_words(season: Season) -> Sentence:
    """Return when a season is, in words."""
    if season == ALL_YEAR:
        return say("All year")
    return say(
        "{first} to {last}",
        first=word(dated(day_of_year(season.from_day), "d MMMM")),
        last=word(dated(day_of_year(season.to_day), "d MMMM")),
    )


def day_of_year(said: str) -> date:
    """Return a day "MM-DD" as a date of a leap year."""
    month, day = said.split("-")
    return date(_NEW_YEAR.year, int(month), int(day))


def arrival_of(garden: Garden, key: str) -> ArrivalState:
    """Return an arrival by its key.

    Raises
    ------
    NotFound
        If there is none; names those there are.

    """
    there = garden.state().year.arrivals_in_use
    if key in there:
        return there[key]
    known = ", ".join(sorted(there)) or "none yet"
    raise NotFound(
        worded('Nothing that arrives is called "{key}"', key=key[:40]),
        instead=worded("What arrives is: {known}", known=known),
    )


def add_arrival(
    garden: Garden,
    *,
    material: str,
    volume_m3_week: Three,
    season: Season,
    origin: str,
    packing: str = "loose",
    keeps_days: float | None = None,
    container: Container | None = None,
    key: str | None = None,
    entry_id: str | None = None,
) -> LogAnswer:
    """Enter what arrives in its season, or alter what has this key.

    Parameters
    ----------
    garden : Garden
    material : str
        In the words people use, or its key.
    volume_m3_week : (low, typical, high)
        In a week of its season. [m³/week]
    season : Season
    origin : str
        Where it was written, see `Entry.origin`.
    packing : str
    keeps_days : float, optional
        How long this person can keep it; the table's if not given. [d]
    container : Container, optional
        What it is counted in.
    key : str, optional
        Of the arrival to alter; made from the material for a new one.
    entry_id : str, optional
        As for `workshop.log.log`.

    Raises
    ------
    HeapwrightError
        If the material is unknown or refused, or a value cannot be right.

    """
    found = find_material(material)
    if found.hazard is not None and found.hazard.permission is Permission.REFUSED:
        check_allowed(found)
    if key is not None:
        arrival_of(garden, key)
    body: dict[str, Any] = {
        "key": key or free_key(found.key, garden.state().year.arrivals),
        "material_key": found.key,
        "volume_m3_week": list(volume_m3_week),
        "from_day": season.from_day,
        "to_day": season.to_day,
        "packing": packing,
    }
    if keeps_days is not None:
        body["keeps_days"] = [keeps_days] * 3
    if container is not None:
        body |= {"container_name": container.name, "container_volume_m3": container.volume_m3}
    return log(garden, EntryKind.ARRIVAL, body, entry_id=entry_id, origin=origin)


def filled_m3(container: Container) -> float:
    """Return what a container holds as full as it usually is. [m³]"""
    return container.volume_m3 * container.usual_fullness.typical


def drop_arrival(
    garden: Garden, key: str, *, origin: str, why: str = "", entry_id: str | None = None
) -> LogAnswer:
    """Write down that something no longer arrives.

    Raises
    ------
    NotFound
        If there is nothing of that key.

    """
    body = {"arrival": arrival_of(garden, key).key} | ({"why": why} if why else {})
    return log(garden, EntryKind.ARRIVAL_GONE, body, entry_id=entry_id, origin=origin)


def weekly_air_c(garden: Garden) -> tuple[float, ...]:
    """Return the mean air of the 52 weeks of the garden's usual year. [°C]"""
    year = on_dates(usual_year(garden), A_YEAR, A_YEAR + timedelta(weeks=WEEKS))
    weeks = year.temperature_c[: WEEKS * _HOURS_A_WEEK].reshape(WEEKS, _HOURS_A_WEEK)
    return tuple(float(one) for one in np.mean(weeks, axis=1))


def leaf_fall_here(garden: Garden) -> Season:
    """Return when leaves fall in the garden's usual year."""
    return leaf_fall(weekly_air_c(garden))


def proposals(garden: Garden) -> tuple[Proposal, ...]:
    """Return what household, lawn and trees of the site are likely to give and is not entered yet.

    From the published and usual figures of `season/data/arrivals.csv`; the seasons from the
    garden's usual weather. Empty while nothing is said of the site.
    """
    there = {one.material_key for one in garden.state().year.arrivals_in_use.values()}
    found = _proposals(garden.state().year.site, weekly_air_c(garden))
    return tuple(one for one in found if one.material_key not in there)


def _proposals(site: Mapping[str, Any], weekly_c: tuple[float, ...]) -> Iterator[Proposal]:
    table, people = load_materials(), float(site.get("people") or 0)
    if people > 0:
        scraps, grounds = table["vegetable_scraps"], table["coffee_grounds"]
        yield _proposal(scraps, scraps_m3_week(people, scraps), ALL_YEAR, _food())
        yield _proposal(grounds, coffee_m3_week(people, grounds), ALL_YEAR, _coffee())
    mowing, lawn_m2 = mowing_season(weekly_c), float(site.get("lawn_m2") or 0)
    if lawn_m2 > 0 and mowing is not None:
        grass = table["grass_clippings_loose"]
        weekly = clippings_m3_week(lawn_m2, weeks_of(mowing), grass)
        yield _proposal(grass, weekly, mowing, _clippings())
    if (canopy_m2 := float(site.get("canopy_m2") or 0)) > 0:
        leaves, fall = table["leaves_mixed_dry"], leaf_fall(weekly_c)
        yield _proposal(leaves, leaves_m3_week(canopy_m2, weeks_of(fall), leaves), fall, _leaves())


def _food() -> Sentence:
    food, fit = figures()["food_kg_person_year"], figures()["food_fit_share"]
    return say(
        "Reckoned from {food} of food wasted by a person in a year (UNEP 2024, second-hand), of "
        "which {fit} is fit for a heap (common practice).",
        food=span(food.low, food.high, Measure.MASS),
        fit=span(fit.low, fit.high, Measure.SHARE),
    )


def _coffee() -> Sentence:
    grounds = figures()["coffee_kg_person_week"]
    return say(
        "Reckoned from {grounds} of wet grounds for a person in a week, one to three cups a day "
        "(weak source).",
        grounds=span(grounds.low, grounds.high, Measure.MASS),
    )


def _clippings() -> Sentence:
    return say(
        "Reckoned from the clippings of a lawn in a year: 200 lb from 1,000 ft² (Colorado State, "
        "second-hand) to twice that when it is watered (weak); the weeks of mowing from the "
        "usual weather here."
    )


def _leaves() -> Sentence:
    leaves = figures()["leaves_kg_m2_year"]
    return say(
        "Reckoned from {leaves} of dry leaves for each square metre under closed trees (from "
        "memory); the weeks from the usual weather here.",
        leaves=span(leaves.low, leaves.high, Measure.MASS),
    )


def _proposal(material: Material, weekly: Estimate, season: Season, why: Sentence) -> Proposal:
    told = say(
        "{season}: {volume} a week. {why}",
        volume=span(weekly.low, weekly.high, Measure.VOLUME),
        season=inside(season_words(season)),
        why=inside(why),
    )
    three = (weekly.low, weekly.typical, weekly.high)
    return Proposal(material.key, material.name, three, season, told)
