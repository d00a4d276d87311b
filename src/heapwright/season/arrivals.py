"""What comes in by itself in its season: so much a week, over New Year too.

Knows how a season and a weekly range become weeks, and what a household and its garden give by the
sources. Knows nothing of what is on hand or built.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import OutOfRange
from heapwright.materials.types import Material
from heapwright.mixing.lots import inverse, product
from heapwright.season.stage_types import WEEKS
from heapwright.tables import Estimate, parameter_table
from heapwright.wording import worded

FloatArray = NDArray[np.float64]
_DAYS_A_WEEK = 7
_WEEKS_A_YEAR = 365.25 / _DAYS_A_WEEK
Three = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Season:
    """A part of every year, both days within it; it may run over New Year.

    Attributes
    ----------
    from_day, to_day : str
        "MM-DD".

    """

    from_day: str
    to_day: str

    def holds(self, day: date) -> bool:
        """Whether a day lies in the season; 29 February counts as the day before."""
        at, first, last = map(_not_leap, (day.strftime("%m-%d"), self.from_day, self.to_day))
        if first <= last:
            return first <= at <= last
        return at >= first or at <= last


def _not_leap(month_day: str) -> str:
    return "02-28" if month_day == "02-29" else month_day


def figures() -> Mapping[str, Estimate]:
    """Return the rows of `data/arrivals.csv` by id."""
    return parameter_table("heapwright.season", "data/arrivals.csv")


def weekly_m3(
    season: Season, volume_m3_week: Three, first_day: date, weeks: int = WEEKS
) -> FloatArray:
    """Return what arrives in each week, shape (3, weeks): low, likely, high. [m³]

    A week that lies in the season in part brings that part.

    Parameters
    ----------
    season : Season
    volume_m3_week : (low, typical, high)
        In a whole week of the season. [m³/week]
    first_day : date
        First day of week 0.
    weeks : int

    Raises
    ------
    OutOfRange
        If the three do not rise, or are below 0.

    """
    low, typical, high = volume_m3_week
    if not 0.0 <= low <= typical <= high < float("inf"):
        raise OutOfRange(
            worded(
                "{low:g}, {typical:g} and {high:g} m³ a week", low=low, typical=typical, high=high
            ),
            why="least, likely and most must rise, and none lies below 0",
        )
    part = np.array([_share_within(season, first_day, week) for week in range(weeks)])
    return np.outer(np.array(volume_m3_week, dtype=np.float64), part)


def _share_within(season: Season, first_day: date, week: int) -> float:
    monday = first_day + timedelta(days=_DAYS_A_WEEK * week)
    days = (monday + timedelta(days=n) for n in range(_DAYS_A_WEEK))
    return sum(season.holds(day) for day in days) / _DAYS_A_WEEK


def counted_on(three: FloatArray, sureness: float) -> FloatArray:
    """Return what comes at least in a share of the years, from (low, likely, high) rows.

    Low and high are read as the 5th and 95th percentile, likely as the median, with straight
    lines between; beyond them low and high hold.

    Parameters
    ----------
    three : array, shape (3, ...)
    sureness : float
        0 to 1.

    """
    place = float(np.clip(1.0 - sureness, 0.05, 0.95))
    low, typical, high = three
    if place <= 0.5:
        return np.asarray(low + (place - 0.05) / 0.45 * (typical - low))
    return np.asarray(typical + (place - 0.5) / 0.45 * (high - typical))


def clippings_m3_week(lawn_m2: float, weeks: float, grass: Material) -> Estimate:
    """Return the clippings of a lawn in a week of mowing. [m³/week]

    A year's mass [kg/m²] over the weeks of mowing and the loose density.
    """
    return product(figures()["clippings_kg_m2_year"], inverse(grass.bulk_density_kg_m3)).scaled(
        lawn_m2 / weeks
    )


def scraps_m3_week(people: float, scraps: Material) -> Estimate:
    """Return a household's kitchen scraps that are fit for a heap, in a week. [m³/week]"""
    table = figures()
    a_week = product(table["food_kg_person_year"], table["food_fit_share"])
    return product(a_week, inverse(scraps.bulk_density_kg_m3)).scaled(people / _WEEKS_A_YEAR)


def coffee_m3_week(people: float, grounds: Material) -> Estimate:
    """Return a household's own coffee grounds in a week. [m³/week]"""
    found = product(figures()["coffee_kg_person_week"], inverse(grounds.bulk_density_kg_m3))
    return found.scaled(people)


def leaves_m3_week(canopy_m2: float, weeks: float, leaves: Material) -> Estimate:
    """Return the leaves that fall in a week of autumn, loose and as moist as the table's. [m³/week]

    A year's dry mass [kg/m²] over the weeks, the dry share and the loose density.
    """
    dry_share = Estimate(
        1.0 - leaves.moisture.high,
        1.0 - leaves.moisture.typical,
        1.0 - leaves.moisture.low,
        leaves.moisture.source,
        leaves.moisture.evidence,
    )
    wet = product(figures()["leaves_kg_m2_year"], inverse(dry_share))
    return product(wet, inverse(leaves.bulk_density_kg_m3)).scaled(canopy_m2 / weeks)


def mown_volume(loose: Estimate) -> Estimate:
    """Return the volume of loose leaves once they are mown over. [m³]"""
    return product(loose, figures()["shredded_share"])


def mowing_season(weekly_c: Sequence[float]) -> Season | None:
    """Return when grass is mown by a usual year's weekly mean air; None where it never is.

    From the first to the last week of the longest warm stretch of the year, `mowing_warm_c` and
    more (common practice); it may run over New Year.

    Parameters
    ----------
    weekly_c : sequence of float
        Mean air of the 52 weeks from 1 January on. [°C]

    """
    warm = [one >= figures()["mowing_warm_c"].typical for one in weekly_c]
    if not any(warm):
        return None
    if all(warm):
        return Season("01-01", "12-31")
    first, length = _longest_stretch(warm)
    return Season(_day_of_week(first), _day_of_week(first + length, -1))


def leaf_fall(weekly_c: Sequence[float]) -> Season:
    """Return when leaves fall by a usual year's weekly mean air.

    For `leaf_fall_weeks` from the first week after the warmest in which the mean of three weeks
    lies below `leaf_fall_c` (common practice); where it never does, in the weeks before the
    coldest.
    """
    table = figures()
    weeks = round(table["leaf_fall_weeks"].typical)
    count = len(weekly_c)
    smooth = [sum(weekly_c[(week + n) % count] for n in (-1, 0, 1)) / 3.0 for week in range(count)]
    warmest = max(range(count), key=lambda week: smooth[week])
    coldest = min(range(count), key=lambda week: smooth[week])
    cool = (
        week
        for week in range(warmest, warmest + count)
        if smooth[week % count] < table["leaf_fall_c"].typical
    )
    first = next(cool, coldest - weeks) % count
    return Season(_day_of_week(first), _day_of_week(first + weeks, -1))


def weeks_of(season: Season) -> float:
    """Return how many weeks a season has."""
    a_year = (date(2023, 1, 1) + timedelta(days=n) for n in range(365))
    return sum(season.holds(day) for day in a_year) / _DAYS_A_WEEK


def _longest_stretch(warm: Sequence[bool]) -> tuple[int, int]:
    """Return the first place and length of the longest run of a ring."""
    count, best = len(warm), (0, 0)
    for first in range(count):
        if warm[first] and not warm[first - 1]:
            length = 0
            while length < count and warm[(first + length) % count]:
                length += 1
            best = max(best, (first, length), key=lambda run: run[1])
    return best


def _day_of_week(week: int, more_days: int = 0) -> str:
    day = date(2023, 1, 1) + timedelta(days=_DAYS_A_WEEK * (week % WEEKS) + more_days)
    return day.strftime("%m-%d")


def is_fact(*estimates: Estimate) -> bool:
    """Whether all may be told as facts; else they are starting values and say so."""
    return all(one.evidence.is_fact for one in estimates)
