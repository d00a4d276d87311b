"""What a plan is judged by and what work costs, read from the table of this room.

Knows the table. Judges nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from heapwright.season.rotation_types import WorkRates
from heapwright.tables import parameter_table


@dataclass(frozen=True, slots=True)
class RotationWeights:
    """The weights of the objective, each in litres of compost for a bed of weight 1.

    Attributes
    ----------
    made_l : float
        For a litre harvested within the year, over what it serves.
    left_shares : tuple of float, one for each stage
        Worth of a litre to come, as share of a litre made, by the stage a heap is left in.
    earlier_l : float
        For each week that a harvest lies before the horizon's end.
    load_l : float
        Taken off for each barrow load.
    change_l : tuple of float
        Taken off for each job of an earlier plan that this plan has not: near, soon, later.
    near_weeks, soon_weeks : int
        Until when a week counts as near, and as soon.

    """

    made_l: float
    left_shares: tuple[float, float, float]
    earlier_l: float
    load_l: float
    change_l: tuple[float, float, float]
    near_weeks: int
    soon_weeks: int

    def change_at(self, week: int) -> float:
        """Return what dropping a job of that week costs. [L]"""
        near, soon, later = self.change_l
        if week < self.near_weeks:
            return near
        return soon if week < self.soon_weeks else later


@cache
def _table() -> dict[str, float]:
    rows = parameter_table("heapwright.season", "data/rotation_weights.csv")
    return {name: row.typical for name, row in rows.items()}


@cache
def usual_weights() -> RotationWeights:
    """Return the weights of the table."""
    table = _table()
    return RotationWeights(
        made_l=table["made_l"],
        left_shares=(
            table["left_first_share"],
            table["left_middle_share"],
            table["left_cure_share"],
        ),
        earlier_l=table["earlier_l"],
        load_l=table["load_l"],
        change_l=(table["change_near_l"], table["change_soon_l"], table["change_later_l"]),
        near_weeks=int(table["near_weeks"]),
        soon_weeks=int(table["soon_weeks"]),
    )


def bed_weight(importance: int) -> float:
    """Return what a litre counts for a bed that can wait (1), a usual one (2), a first one (3)."""
    return _table()[("bed_waits", "bed_usual", "bed_first")[importance - 1]]


def helper_factor() -> float:
    """Return how many times the work of one person is done with a helper."""
    return _table()["helper_factor"]


def usual_work_rates(stirs_a_week: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> WorkRates:
    """Return what jobs cost by the table, with so many regular stirrings a week in each stage."""
    table = _table()
    return WorkRates(
        barrow_m3=table["barrow_m3"],
        build=table["build_loads"],
        move=table["move_loads"],
        stir=table["stir_loads"],
        harvest=table["harvest_loads"],
        stirs_a_week=stirs_a_week,
    )
