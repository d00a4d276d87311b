"""Answers what a place before its first bin can hold and give, and writes down what is said of it.

Knows how the journal's site, the climate and the pure parts come together. Reckons nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from typing import Any

import numpy as np

from heapwright.garden.beds_types import Volume
from heapwright.garden.floor_plan import floor_plan
from heapwright.garden.site import (
    beds_wish_m3,
    bins_for,
    compost_m3_year,
    harvest_of,
    materials_of,
    water_kg_year,
)
from heapwright.garden.site_distances import distances
from heapwright.garden.site_types import (
    Bins,
    ClimateYear,
    DistanceExample,
    FloorPlan,
    Harvest,
    Heats,
    Site,
)
from heapwright.garden.site_words import site_cautions, tools
from heapwright.journal.entries import EntryKind
from heapwright.materials.table import load_materials
from heapwright.sentences import Sentence
from heapwright.weather.series import WeatherSeries
from heapwright.workshop import site_told
from heapwright.workshop.answers import LogAnswer
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log
from heapwright.workshop.site_answer import MaterialLine, SiteAnswer
from heapwright.workshop.weather import HOURS_A_YEAR, usual_year

_MONTHS = 12


def site(garden: Garden) -> SiteAnswer:
    """Return what the place that the journal tells of can hold and give."""
    here = site_of(garden)
    climate = climate_year(garden)
    materials = materials_of(here)
    harvest = harvest_of(materials)
    bins = None if harvest.heats is Heats.UNKNOWN else bins_for(harvest.all_m3, climate)
    plan = _plan(here, bins)
    table = load_materials()
    beds_m3 = beds_wish_m3(here.beds_m2) if here.beds_m2 else None
    water = None if bins is None else water_kg_year(harvest.all_m3, bins.side_m, climate)
    return SiteAnswer(
        site=here,
        climate=climate,
        materials=tuple(MaterialLine(table[x.material_key].name, x) for x in materials),
        harvest=harvest,
        bins=bins,
        plan=plan,
        distances=_distances(here, bins, plan),
        tools=tools(),
        water_kg=water,
        compost_m3=None if bins is None else compost_m3_year(harvest.all_m3),
        beds_m3=beds_m3,
        told=(*site_told.harvest_told(harvest), *_told(here, harvest, bins, plan, beds_m3, water)),
        cautions=site_cautions(here, climate, harvest, bins),
        notes=tuple(site_told.notes_told(climate, harvest)),
    )


def say_of_site(
    garden: Garden, said: Mapping[str, Any], *, origin: str, entry_id: str | None = None
) -> LogAnswer:
    """Write down what is said of the site; what is not named stays, None clears it.

    Parameters
    ----------
    garden : Garden
    said : mapping
        Fields of `Site`, SI units.
    origin, entry_id
        As for `workshop.log.log`.

    Raises
    ------
    HeapwrightError
        If nothing is said, or a value cannot be right.

    """
    return log(garden, EntryKind.SITE, said, entry_id=entry_id, origin=origin)


def site_of(garden: Garden) -> Site:
    """Return the site as the journal tells of it."""
    said = garden.state().year.site
    return Site(**{one.name: said.get(one.name) for one in fields(Site)})


def climate_year(garden: Garden) -> ClimateYear:
    """Return what of the garden's usual year counts for a site."""
    series = usual_year(garden)
    months = _month_means(series)
    rain_mm = float(series.rain_mm.sum()) * HOURS_A_YEAR / series.hours
    return ClimateYear(series.source, min(months), max(months), rain_mm)


def _month_means(series: WeatherSeries) -> list[float]:
    """Return the mean air of each month that the series has hours of. [°C]"""
    first = np.datetime64(series.start.replace(tzinfo=None), "h")
    hours = first + np.arange(series.hours).astype("timedelta64[h]")
    month = hours.astype("datetime64[M]").astype(int) % _MONTHS
    return [
        float(series.temperature_c[month == number].mean())
        for number in range(_MONTHS)
        if (month == number).any()
    ]


def _plan(here: Site, bins: Bins | None) -> FloorPlan | None:
    """Return the bins laid out, where the size of the place and what comes in are known."""
    if not here.space_width_m or not here.space_depth_m or bins is None:
        return None
    return floor_plan(here.space_width_m, here.space_depth_m, bins.side_m, bins.wanted)


def _distances(
    here: Site, bins: Bins | None, plan: FloorPlan | None
) -> tuple[DistanceExample, ...]:
    side = plan.side_m if plan is not None else bins.side_m if bins is not None else None
    count = len(plan.bins) if plan is not None else bins.wanted if bins is not None else 0
    if side is None:
        return distances(here, height_m=None, volume_m3=None, ground_m2=None)
    return distances(here, height_m=side, volume_m3=count * side**3, ground_m2=count * side**2)


def _told(
    here: Site,
    harvest: Harvest,
    bins: Bins | None,
    plan: FloorPlan | None,
    beds_m3: Volume | None,
    water_kg: Volume | None,
) -> tuple[Sentence, ...]:
    if bins is None or water_kg is None:
        return ()
    return (
        *site_told.bins_told(bins, harvest),
        *site_told.plan_told(here, plan, bins),
        *site_told.yield_told(compost_m3_year(harvest.all_m3), beds_m3, water_kg),
    )
