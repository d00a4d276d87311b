"""Before the first bin: what comes in a year, how many bins of what size, water, compost.

Knows volumes of material and lengths of a cycle. Knows no floor plan (`floor_plan.py`) and no
words (`site_words.py`). Totals are added end by end: all little, all likely, all much.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from heapwright.errors import OutOfRange
from heapwright.finish.dates import middle_eight_in_ten
from heapwright.finish.guides import limits
from heapwright.garden.beds import layer_m3
from heapwright.garden.beds_types import NOTHING, Volume, total
from heapwright.garden.draws import spread_independently
from heapwright.garden.site_types import Bins, ClimateYear, Harvest, Heats, Site, YearlyMaterial
from heapwright.garden.tables import PACKAGE, depths
from heapwright.materials.table import load_materials
from heapwright.materials.types import Material
from heapwright.season.arrivals import (
    clippings_m3_week,
    coffee_m3_week,
    leaves_m3_week,
    scraps_m3_week,
)
from heapwright.tables import Estimate, parameter_table
from heapwright.wording import worded

WEEKS_A_YEAR = 365.25 / 7.0
_MM_A_M = 1000.0
_WATER_KG_M3 = 1000.0
#: Materials of a household and its garden as the table of materials names them.
_GRASS, _SCRAPS, _GROUNDS, _LEAVES = (
    "grass_clippings_loose",
    "vegetable_scraps",
    "coffee_grounds",
    "leaves_mixed_dry",
)
#: Less of the scarcer kind than this share of the other counts as lacking.
_NEARLY_EQUAL = 0.8


def site_figures() -> dict[str, Estimate]:
    """Return the rows of `data/site.csv`."""
    return dict(parameter_table(PACKAGE, "data/site.csv"))


def materials_of(site: Site) -> tuple[YearlyMaterial, ...]:
    """Return what a household and its garden give in a year, of what was said of them."""
    yearly: list[tuple[str, bool, float | None, Callable[[float, Material], Estimate]]] = [
        (_SCRAPS, True, site.people, lambda n, one: scraps_m3_week(n, one).scaled(WEEKS_A_YEAR)),
        (_GROUNDS, True, site.people, lambda n, one: coffee_m3_week(n, one).scaled(WEEKS_A_YEAR)),
        (_GRASS, True, site.lawn_m2, lambda n, one: clippings_m3_week(n, 1.0, one)),
        (_LEAVES, False, site.canopy_m2, lambda n, one: leaves_m3_week(n, 1.0, one)),
    ]
    table, found = load_materials(), []
    for key, is_green, size, volume in yearly:
        if size:
            year = volume(float(size), table[key])
            found.append(
                YearlyMaterial(
                    key,
                    is_green,
                    Volume(year.low, year.typical, year.high),
                    year.evidence.is_fact,
                )
            )
    return tuple(found)


def harvest_of(materials: Sequence[YearlyMaterial]) -> Harvest:
    """Return what can be built of a year's material, by equal volumes of green and brown.

    The rule of thumb of Raabe's rapid method; the recipe of each build is exact. Loose volumes:
    mixed they lie closer, so somewhat too much is reckoned.
    """
    greens = total(one.volume_m3 for one in materials if one.is_green)
    browns = total(one.volume_m3 for one in materials if not one.is_green)
    pairs = list(
        zip(
            (greens.low, greens.likely, greens.high),
            (browns.low, browns.likely, browns.high),
            strict=True,
        )
    )
    all_m3 = Volume(*(2.0 * max(green, brown) for green, brown in pairs))
    lacking = _lacking(greens.likely, browns.likely)
    fetch = Volume(*(abs(green - brown) for green, brown in pairs)).in_order()
    return Harvest(
        greens_m3=greens,
        browns_m3=browns,
        own_m3=Volume(*(2.0 * min(green, brown) for green, brown in pairs)),
        lacking=lacking,
        fetch_m3=fetch if lacking else NOTHING,
        all_m3=all_m3,
        heats=heats(all_m3) if materials else Heats.UNKNOWN,
    )


def heats(built_m3: Volume) -> Heats:
    """Return whether a year's material, saved up, makes a heap that gets hot."""
    row = site_figures()["heats_m3"]
    if built_m3.likely < row.low:
        return Heats.COLD
    # A second heap within the year means that one need not wait for all of it.
    return Heats.HOT if built_m3.likely >= 2.0 * row.typical else Heats.SAVED_UP


def bins_for(built_m3: Volume, climate: ClimateYear) -> Bins:
    """Return how many bins of what size a year's material asks for.

    One bin more than stand full on average, for one stays empty to turn into: n = 1 + ceil(fills
    x weeks of a cycle / weeks of a year). The smallest side that heats and that leaves no more
    bins than a household keeps; larger where winter is cold.

    Parameters
    ----------
    built_m3 : Volume
        Of a year. [m³]
    climate : ClimateYear

    """
    table = site_figures()
    step, weeks = table["side_step_m"].typical, table["cycle_weeks"]
    side_m = table["side_m"].low
    if climate.coldest_c < table["frost_c"].typical and built_m3.likely >= 2.0 * side_m**3:
        side_m = table["cold_side_m"].typical
    most = round(table["most_bins"].typical)
    while side_m + step <= table["side_m"].high + 1e-9:
        if _count(built_m3.likely, side_m, weeks.typical) <= most:
            break
        side_m += step
    low, wanted, high = (
        min(most, _count(volume, side_m, cycle))
        for volume, cycle in (
            (built_m3.low, weeks.low),
            (built_m3.likely, weeks.typical),
            (built_m3.high, weeks.high),
        )
    )
    return Bins(side_m, built_m3.likely / side_m**3, wanted, low, high)


def hold_all(bins: Bins) -> bool:
    """Return whether so many bins hold a year's material; one household keeps only so many."""
    full = bins.fills * site_figures()["cycle_weeks"].typical / WEEKS_A_YEAR
    return full <= bins.wanted - 1 + 1e-9


def compost_m3_year(built_m3: Volume) -> Volume:
    """Return the finished compost of a year: a quarter to a half of what was built in. [m³]

    The published loss of 50 to 75 % of the volume; the ends are multiplied.
    """
    left = limits()["finished_share_of_volume"]
    return Volume(
        built_m3.low * left.low, built_m3.likely * left.typical, built_m3.high * left.high
    )


def beds_wish_m3(beds_m2: float) -> Volume:
    """Return what beds in use ask for each year at the published depth. [m³]"""
    row = depths()["top_up_m"]
    return Volume(*(layer_m3(beds_m2, x) for x in (row.low, row.typical, row.high)))


def water_kg_year(built_m3: Volume, side_m: float, climate: ClimateYear) -> Volume:
    """Return the water to be given in a year, as a range of eight in ten. [kg]

    For each cubic metre built: what evaporates with the matter that rots, and what the compost
    holds at its end, less what the materials bring and what rain stays in the heap,

        w = D l e + D (1 - l) m1 / (1 - m1) - D m0 / (1 - m0) - r c t / s

    with dry matter D [kg/m³], the share l that rots, e kg evaporated for each, moistures m0 and m1
    [wet], rain r [kg/m² a year], the share c of it caught, t years in the open and the height s.
    Sampled, all factors independent; never below nothing.

    Parameters
    ----------
    built_m3 : Volume
    side_m : float
        Greater than 0. [m]
    climate : ClimateYear

    Raises
    ------
    OutOfRange
        If the side is not.

    """
    if side_m <= 0:
        raise OutOfRange(
            worded("A side of {side:g} m", side=side_m), why="a bin is wider than nothing"
        )
    table = site_figures()
    volume = Estimate(built_m3.low, built_m3.likely, built_m3.high)
    dry, lost, evaporated, moist, caught, end, built = spread_independently(
        (
            table["dry_kg_m3"],
            table["lost_share"],
            table["evaporated_kg_kg"],
            table["own_moisture"],
            table["rain_caught"],
            limits()["finished_moisture"],
            volume,
        )
    )
    years = table["cycle_weeks"].typical / WEEKS_A_YEAR
    rain = climate.rain_mm / _MM_A_M * _WATER_KG_M3 * caught * years / side_m
    needed = (
        dry * lost * evaporated
        + dry * (1.0 - lost) * end / (1.0 - end)
        - dry * moist / (1.0 - moist)
        - rain
    )
    return Volume(*middle_eight_in_ten(np.maximum(0.0, needed) * built))


def is_dry(climate: ClimateYear) -> bool:
    """Return whether the climate counts as dry."""
    return climate.rain_mm < site_figures()["dry_rain_mm"].typical


def is_cold(climate: ClimateYear) -> bool:
    """Return whether a heap stalls in its winter without care."""
    return climate.coldest_c < site_figures()["frost_c"].typical


def is_hot(climate: ClimateYear) -> bool:
    """Return whether its summer makes shade worth having."""
    return climate.warmest_c > site_figures()["hot_month_c"].typical


def _count(built_m3: float, side_m: float, cycle_weeks: float) -> int:
    full = built_m3 / side_m**3 * cycle_weeks / WEEKS_A_YEAR
    return 1 + max(1, math.ceil(full - 1e-9))


def _lacking(green_m3: float, brown_m3: float) -> str:
    if green_m3 < _NEARLY_EQUAL * brown_m3:
        return "green"
    return "brown" if brown_m3 < _NEARLY_EQUAL * green_m3 else ""
