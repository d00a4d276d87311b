"""How likely each bed is served in time, and when each heap is ready, over the spread of years.

Plays one plan in many years: stages as long as each heap of the ensemble takes them, arrivals and
yields drawn. Knows how the answers are counted. Draws nothing itself and makes no plan.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from heapwright.season.play import Course, play
from heapwright.season.rotation_plan import BedServed, RotationPlan
from heapwright.season.rotation_types import RotationProblem

#: Of a bed's wish that must be there to count it as served: plans count in whole litres.
_ENOUGH = 0.99
#: Standard normal deviate of a two-sided 80 % interval, as the program's other ranges have it.
_Z = 1.2815515655446004


@dataclass(frozen=True, slots=True)
class BedChance:
    """How often a bed is served in time.

    Attributes
    ----------
    chance : float
        Share of the years played. [0-1]
    low, high : float
        Wilson interval of 80 % for so many years. [0-1]

    """

    key: str
    chance: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class HarvestSpread:
    """When a heap is harvested: one year in ten before `low_week`, one in ten after `high_week`.

    None is beyond the horizon.
    """

    key: str
    low_week: int | None
    likely_week: int | None
    high_week: int | None


@dataclass(frozen=True, slots=True)
class Chances:
    """What a plan comes to over many years."""

    beds: tuple[BedChance, ...]
    batches: tuple[HarvestSpread, ...]
    years: int


def chances(plan: RotationPlan, problem: RotationProblem, years: Sequence[Course]) -> Chances:
    """Return how often beds are served and when heaps are ready, over years that are played.

    Parameters
    ----------
    plan : RotationPlan
    problem : RotationProblem
    years : sequence of Course
        Each as likely as the others.

    """
    played = [play(problem, plan, one) for one in years]
    beds = []
    for bed in plan.beds:
        is_promised = bed.served_m3 >= _ENOUGH * bed.wished_m3
        served = sum(is_promised and _is_in_time(one.given_week, bed) for one in played)
        low, high = wilson(served, len(played))
        beds.append(BedChance(bed.key, served / max(1, len(played)), low, high))
    batches = []
    for batch in plan.batches:
        weeks = sorted(_week(one.harvest_week.get(batch.key)) for one in played)
        batches.append(HarvestSpread(batch.key, *(_at(weeks, part) for part in (0.1, 0.5, 0.9))))
    return Chances(tuple(beds), tuple(batches), len(played))


def wilson(hits: int, tries: int, z: float = _Z) -> tuple[float, float]:
    """Return Wilson's score interval for a share (Wilson 1927, J. Am. Stat. Assoc. 22:209-212).

    (p + z²/2n ± z √(p(1-p)/n + z²/4n²)) / (1 + z²/n), from memory.

    Parameters
    ----------
    hits, tries : int
    z : float
        Deviate of the level; 80 % if not given.

    """
    if tries == 0:
        return 0.0, 1.0
    share, square = hits / tries, z * z / tries
    middle = share + square / 2.0
    half = z * math.sqrt(share * (1.0 - share) / tries + square / (4.0 * tries))
    low, high = (middle - half) / (1.0 + square), (middle + half) / (1.0 + square)
    return max(0.0, low), min(1.0, high)


def _is_in_time(given_week: Mapping[str, int | None], bed: BedServed) -> bool:
    week = given_week.get(bed.key)
    return week is not None and week <= bed.due_week


def _week(week: int | None) -> float:
    return math.inf if week is None else week


def _at(weeks: Sequence[float], part: float) -> int | None:
    """Return the week at a share of the years; None when it lies beyond the horizon."""
    if not weeks:
        return None
    found = weeks[min(len(weeks) - 1, int(part * len(weeks)))]
    return None if math.isinf(found) else int(found)
