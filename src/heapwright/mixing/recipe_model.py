"""Puts the choice of whole containers into a mixed-integer linear program and solves it.

Knows the limits and aims of a recipe as linear rows over containers and water. Knows nothing of
sentences, of fetching or of what the answer is shown as.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heapwright.errors import NoRecipe
from heapwright.materials.types import Role
from heapwright.mixing.balance import ash_or_estimate, solid_and_water_volume_m3
from heapwright.mixing.constants import choice, constant
from heapwright.mixing.lots import container_part
from heapwright.mixing.solver_words import away_from_answers
from heapwright.mixing.targets import target
from heapwright.mixing.types import Lot, Wishes
from heapwright.wording import worded

FloatArray = NDArray[np.float64]

#: Relative gap between the answer and the bound at which an answer counts as proven.
_GAP = 1e-6
#: The solver's word for "no numbers meet every row".
_INFEASIBLE = 2


@dataclass(frozen=True, slots=True)
class Containers:
    """One container of each lot in numbers, all of shape (lot,). Masses in kg, volumes in m³.

    `filled` is the volume of water and solids without air, `most` how many may be taken,
    `spoiling` the points for leaving a bin full of it, `long_keeping_brown` 1 for a brown that
    keeps for ever and 0 for anything else.
    """

    mass: FloatArray
    water: FloatArray
    carbon: FloatArray
    nitrogen: FloatArray
    filled: FloatArray
    volume: FloatArray
    most: FloatArray
    spoiling: FloatArray
    long_keeping_brown: FloatArray

    @classmethod
    def of(cls, lots: Sequence[Lot]) -> Containers:
        """Return the numbers of lots, at their likeliest values."""
        rows = np.array([_container_row(lot) for lot in lots], dtype=np.float64)
        return cls(*rows.reshape(len(lots), len(cls.__slots__)).T)


@dataclass(frozen=True, slots=True)
class Limit:
    """A wish as a row: sum of per_container x count + per_water_kg x water >= least.

    `scale` is the size of the wish in the row's unit; `cost` what missing it by that size costs.
    """

    name: str
    per_container: FloatArray
    per_water_kg: float
    least: float
    scale: float
    cost: float


@dataclass(frozen=True, slots=True)
class Solution:
    """What the program chose, in the order of the lots given to it."""

    counts: tuple[int, ...]
    water_kg: float
    cost: float
    proven: bool


def urgency(lot: Lot) -> float:
    """Return how soon a lot should be used: 1 when its time is up, less the longer it keeps."""
    half = choice("urgency_half_days")
    return half / (half + max(0.0, days_left(lot)))


def days_left(lot: Lot) -> float:
    """Return the days a lot likely keeps from now; negative when its time is past."""
    return lot.material.keeps_days.typical - lot.age_days


def limits(containers: Containers, wishes: Wishes) -> list[Limit]:
    """Return every wish that may give way as a row. The bin's own volume is none of them."""
    volume = wishes.volume_m3.ideal
    soft, usual = choice("weight_volume_given_way"), choice("weight_given_way")
    c = containers
    nothing = 0.0

    def row(name: str, per: FloatArray, water: float, scale: float) -> Limit:
        return Limit(name, per, water, nothing, scale, usual)

    found = [Limit("volume low", c.volume, 0.0, wishes.volume_m3.low, wishes.volume_m3.low, soft)]
    # A heap of what is on hand is the measure of how far a ratio is missed, so that missing it
    # wholly costs the same for light leaves and for dense chips.
    on_hand_m3 = max(float(c.volume @ c.most), 1e-12)
    ratio, carbon = wishes.c_to_n, float(c.carbon @ c.most) / on_hand_m3 * volume
    found.append(row("c_to_n low", c.carbon - ratio.low * c.nitrogen, 0.0, carbon))
    found.append(row("c_to_n high", ratio.high * c.nitrogen - c.carbon, 0.0, carbon))
    wet, mass = wishes.moisture, float(c.mass @ c.most) / on_hand_m3 * volume
    found.append(row("moisture low", c.water - wet.low * c.mass, 1 - wet.low, wet.low * mass))
    found.append(row("moisture high", wet.high * c.mass - c.water, wet.high - 1, wet.high * mass))
    dense = wishes.bulk_density_kg_m3
    found.append(row("bulk_density low", c.mass - dense.low * c.volume, 1.0, dense.low * volume))
    found.append(
        row("bulk_density high", dense.high * c.volume - c.mass, -1.0, dense.high * volume)
    )
    air, litre = wishes.free_air_space, 1 / constant("water_density_kg_m3")
    free_low, free_high = 1 - air.low, 1 - air.high
    found.append(row("air low", free_low * c.volume - c.filled, -litre, air.low * volume))
    found.append(row("air high", c.filled - free_high * c.volume, litre, air.high * volume))
    return [limit for limit in found if limit.scale > 0]


def solve(
    lots: Sequence[Lot],
    wishes: Wishes,
    *,
    give_way: bool = False,
    effort: Sequence[float] | None = None,
    effort_of_kind: Sequence[float] | None = None,
) -> Solution | None:
    """Return the best whole numbers of containers, or None if no numbers meet every wish.

    Parameters
    ----------
    lots : sequence of Lot
        Their order decides between equally good answers: sort them first.
    wishes : Wishes
    give_way : bool, default False
        Let wishes be missed, as few and as little as can be; the bin's volume never is.
    effort : sequence of float, optional
        Points for taking one container of each lot, added to the usual costs.
    effort_of_kind : sequence of float, optional
        Points for taking any of each lot, likewise.

    """
    if not lots:
        return None
    program = _Program(lots, wishes, give_way)
    if effort is not None:
        program.cost[: program.n] += np.asarray(effort)
    if effort_of_kind is not None:
        program.cost[program.n : 2 * program.n] += np.asarray(effort_of_kind)
    return program.run()


class _Program:
    """Columns: counts, lots opened, water, four deviations, then slacks and their switches."""

    def __init__(self, lots: Sequence[Lot], wishes: Wishes, give_way: bool) -> None:
        self.wishes = wishes
        self.containers = Containers.of(lots)
        self.limits = limits(self.containers, wishes)
        self.n = len(lots)
        self.soft = len(self.limits) if give_way else 0
        self.width = self.slack(2 * self.soft)
        self.rows: list[FloatArray] = []
        self.least: list[float] = []
        self.cost = self._costs()
        self._add_limits()
        self._add_deviations()
        self._add_lots_opened()

    @property
    def water(self) -> int:
        return 2 * self.n

    def slack(self, limit: int) -> int:
        return 2 * self.n + 5 + limit

    def run(self) -> Solution | None:
        # Imported here: scipy takes half a second, and most commands never choose a recipe.
        from scipy.optimize import Bounds, LinearConstraint, milp

        integral = np.zeros(self.width)
        integral[: 2 * self.n] = 1
        integral[self.slack(self.soft) :] = 1
        with away_from_answers():
            found = milp(
                self.cost,
                integrality=integral,
                bounds=Bounds(np.zeros(self.width), self._highest()),
                constraints=LinearConstraint(np.array(self.rows), np.array(self.least), np.inf),
                options={
                    # Measured on 40 lots: the same median, half the longest time.
                    "presolve": False,
                    "mip_rel_gap": _GAP,
                    "time_limit": choice("solver_seconds"),
                },
            )
        if found.x is None:
            if found.status == _INFEASIBLE:
                return None
            raise NoRecipe(
                "No recipe was found in the time allowed",
                why=worded("{n} lots make very many choices", n=self.n),
                instead="Put lots of the same material together, or leave some out",
            )
        counts = tuple(round(count) for count in found.x[: self.n])
        return Solution(counts, float(found.x[self.water]), float(found.fun), found.status == 0)

    def _costs(self) -> FloatArray:
        c, volume = self.containers, self.wishes.volume_m3.ideal
        cost = np.zeros(self.width)
        kept = choice("weight_reserve") * c.long_keeping_brown * c.volume / volume
        cost[: self.n] = kept - c.spoiling * c.volume / volume
        cost[self.n : 2 * self.n] = choice("weight_lot")
        aims = ("weight_c_to_n", "weight_volume", "weight_moisture", "weight_c_to_n_outside")
        cost[self.water + 1 : self.water + 5] = [choice(aim) for aim in aims]
        for number, limit in enumerate(self.limits[: self.soft]):
            cost[self.slack(number)] = limit.cost
            cost[self.slack(self.soft + number)] = choice("weight_wish_given_way")
        return cost

    def _highest(self) -> FloatArray:
        highest = np.full(self.width, np.inf)
        highest[: self.n] = self.containers.most
        highest[self.n : 2 * self.n] = 1
        highest[self.water] = self._most_water_kg()
        highest[self.slack(self.soft) :] = 1
        return highest

    def _row(self, least: float, per_container: FloatArray | None = None) -> FloatArray:
        row = np.zeros(self.width)
        if per_container is not None:
            row[: self.n] = per_container
        self.rows.append(row)
        self.least.append(least)
        return row

    def _add_limits(self) -> None:
        self._row(-self.wishes.volume_m3.high, -self.containers.volume)
        self._row(1.0, np.ones(self.n))
        for number, limit in enumerate(self.limits):
            row = self._row(limit.least / limit.scale, limit.per_container / limit.scale)
            row[self.water] = limit.per_water_kg / limit.scale
            if self.soft:
                row[self.slack(number)] = 1.0
                switch = self._row(0.0)
                switch[self.slack(number)] = -1.0
                switch[self.slack(self.soft + number)] = self._most_missed(limit)

    def _most_missed(self, limit: Limit) -> float:
        """Return by how many times its size a limit can be missed at all in this bin.

        A tight bound keeps the solver's rounding small: with a loose one a switch that is nearly
        off would let a wish be missed unseen.
        """
        per_m3 = float(np.max(-limit.per_container / self.containers.volume))
        by_volume = self.wishes.volume_m3.high * max(0.0, per_m3)
        by_count = float(np.maximum(-limit.per_container, 0.0) @ self.containers.most)
        by_water = max(0.0, -limit.per_water_kg) * self._most_water_kg()
        return (max(0.0, limit.least) + min(by_volume, by_count) + by_water) / limit.scale

    def _most_water_kg(self) -> float:
        """Return more water than any recipe needs: what makes all there is as wet as allowed."""
        wet = self.wishes.moisture.high
        lacking = np.maximum(wet * self.containers.mass - self.containers.water, 0.0) / (1 - wet)
        by_count = float(lacking @ self.containers.most)
        by_volume = self.wishes.volume_m3.high * float(np.max(lacking / self.containers.volume))
        return min(by_count, by_volume)

    def _add_deviations(self) -> None:
        c, wishes = self.containers, self.wishes
        volume = wishes.volume_m3.ideal
        carbon = choice("heap_carbon_kg_m3") * volume
        mass = choice("heap_density_kg_m3") * volume
        wet = wishes.moisture.ideal
        aims = (
            ((c.carbon - wishes.c_to_n.ideal * c.nitrogen) / carbon, 0.0, 0.0),
            (c.volume / volume, 0.0, 1.0),
            ((c.water - wet * c.mass) / mass, (1 - wet) / mass, 0.0),
        )
        for number, (per_container, per_water, aim) in enumerate(aims, start=1):
            for sign in (1.0, -1.0):  # deviation >= +(sum - aim) and >= -(sum - aim)
                row = self._row(-sign * aim, -sign * per_container)
                row[self.water] = -sign * per_water
                row[self.water + number] = 1.0
        best = target("wish_c_to_n_ideal")
        low, high = min(best.low, wishes.c_to_n.ideal), max(best.high, wishes.c_to_n.ideal)
        for lacking in (low * c.nitrogen - c.carbon, c.carbon - high * c.nitrogen):
            row = self._row(0.0, -lacking / carbon)
            row[self.water + 4] = 1.0

    def _add_lots_opened(self) -> None:
        for lot, most in enumerate(self.containers.most):
            row = self._row(0.0)
            row[lot], row[self.n + lot] = -1.0, most


def _container_row(lot: Lot) -> tuple[float, ...]:
    part = container_part(lot)
    water = part.mass_kg * part.moisture
    dry = part.mass_kg - water
    density = part.bulk_density_kg_m3 or 1.0  # lots always have one
    soon = urgency(lot)
    spoiling = choice("weight_food_left" if lot.material.is_food else "weight_spoiling")
    return (
        part.mass_kg,
        water,
        dry * part.carbon_dry,
        dry * part.nitrogen_dry,
        solid_and_water_volume_m3(water, dry, dry * ash_or_estimate(part)),
        part.mass_kg / density,
        float(max(0, lot.count - lot.keep_back)),
        spoiling * soon,
        1.0 - soon if lot.material.role is Role.BROWN else 0.0,
    )
