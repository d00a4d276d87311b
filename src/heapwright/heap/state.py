"""The state of one or many heaps as built, ready for the kernel.

Knows how a bin's shape and a fill become cells, and how extensive amounts and cell values turn into
each other. Knows nothing of time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from heapwright.heap import layout
from heapwright.heap.parameters import PACKAGE
from heapwright.heap.types import BinShape, Cover, Fill, FloatArray, Ground, Wall
from heapwright.tables import Estimate, estimate_from_row, read_rows

RecordArray = NDArray[np.void]

# Cell values that belong to the dry matter and are mixed by it.
_BY_DRY_MATTER = (layout.BUILD_UP, layout.HOT_HOURS, layout.MET_SHARE)
# A floor is never tighter than this: joints and soil breathe (keeps a division finite).
LEAST_OPENNESS = 1e-4
_MASSES = (
    layout.WATER,
    layout.FAST,
    layout.MEDIUM,
    layout.SLOW,
    layout.ASH,
    layout.NITROGEN,
    layout.AMMONIUM,
)


@dataclass(slots=True)
class HeapState:
    """Members of one heap: arrays the kernel changes in place.

    Attributes
    ----------
    parameters, sites, books : record array, shape (members,)
    cells : array, shape (members, fields, radii, heights)

    """

    parameters: RecordArray
    sites: RecordArray
    books: RecordArray
    cells: FloatArray

    @property
    def members(self) -> int:
        """Number of members."""
        return int(self.cells.shape[0])

    @property
    def dry_kg(self) -> FloatArray:
        """Dry matter of every cell, shape (members, radii, heights). [kg]"""
        cells = self.cells
        return np.asarray(
            cells[:, layout.FAST]
            + cells[:, layout.MEDIUM]
            + cells[:, layout.SLOW]
            + cells[:, layout.ASH]
        )

    @property
    def capacity_j_k(self) -> FloatArray:
        """Heat capacity of every cell, shape (members, radii, heights). [J/K]"""
        return np.asarray(
            self.number("solids_heat_j_kg_k") * self.dry_kg
            + self.number("water_heat_j_kg_k") * self.cells[:, layout.WATER]
        )

    @property
    def foot_m2(self) -> FloatArray:
        """Plan area, shape (members,). [m²]"""
        return np.asarray(np.pi * self.sites["radius_m"] ** 2)

    @property
    def volume_m3(self) -> FloatArray:
        """Volume, shape (members,). [m³]"""
        loose = self.dry_kg.sum(axis=(1, 2)) * self.sites["volume_per_dry"]
        return np.asarray(loose * self.sites["looseness"])

    def number(self, name: str) -> FloatArray:
        """Return a parameter of every member, shaped to multiply (members, radii, heights)."""
        return np.asarray(self.parameters[name])[:, None, None]

    def amounts(self) -> FloatArray:
        """Return what mixes by adding: masses, heat, and dry matter's marks times its mass."""
        cells, dry = self.cells, self.dry_kg
        out = np.zeros_like(cells)
        for field in _MASSES:
            out[:, field] = cells[:, field]
        for field in _BY_DRY_MATTER:
            out[:, field] = cells[:, field] * dry
        unmet = dry * (1.0 - cells[:, layout.MET_SHARE])
        out[:, layout.WAITING_HOURS] = cells[:, layout.WAITING_HOURS] * unmet
        out[:, layout.TEMPERATURE] = self.capacity_j_k * cells[:, layout.TEMPERATURE]
        return out

    def set_amounts(self, amounts: FloatArray) -> None:
        """Take cell values from amounts (the inverse of `amounts`); pores hold fresh air."""
        cells = self.cells
        for field in _MASSES:
            cells[:, field] = amounts[:, field]
        dry = self.dry_kg
        for field in _BY_DRY_MATTER:
            cells[:, field] = amounts[:, field] / dry
        cells[:, layout.MET_SHARE] = np.clip(cells[:, layout.MET_SHARE], 0.0, 1.0)
        unmet = dry * (1.0 - cells[:, layout.MET_SHARE])
        waiting = amounts[:, layout.WAITING_HOURS]
        cells[:, layout.WAITING_HOURS] = np.where(
            unmet > 1e-9 * dry, waiting / np.maximum(unmet, 1e-12 * dry), 0.0
        )
        cells[:, layout.TEMPERATURE] = amounts[:, layout.TEMPERATURE] / self.capacity_j_k
        cells[:, layout.OXYGEN] = self.number("oxygen_outside")


@cache
def _surface_table(name: str) -> dict[tuple[str, str], Estimate]:
    return {
        (row["id"], row["quantity"]): estimate_from_row(row) for row in read_rows(PACKAGE, name)
    }


def wall_value(wall: Wall, quantity: str) -> float:
    """Return the typical resistance [m² K W⁻¹] or openness [0-1] of a wall."""
    return _surface_table("walls.csv")[(wall.value, quantity)].typical


def cover_value(cover: Cover, quantity: str) -> float:
    """Return a cover's typical resistance, openness, rain_kept or vapour_returned."""
    return _surface_table("covers.csv")[(cover.value, quantity)].typical


def ground_value(ground: Ground, quantity: str) -> float:
    """Return a ground's resistance_more [m² K W⁻¹] or its openness_times."""
    return _surface_table("grounds.csv")[(ground.value, quantity)].typical


def set_bin(sites: RecordArray, shape: BinShape, parameters: RecordArray) -> None:
    """Give every member this bin: the cylinder of equal plan area, with the true wall's area."""
    plan = shape.plan_m2
    radius = float(np.sqrt(plan / np.pi))
    sites["radius_m"] = radius
    sites["wall_factor"] = shape.girth_m / (2.0 * np.pi * radius)
    sites["wall_resistance"] = wall_value(shape.wall, "resistance")
    sites["wall_openness"] = wall_value(shape.wall, "openness")
    sites["shade"] = shape.shade
    sites["ground_resistance"] = parameters["ground_resistance_m2_k_w"] + ground_value(
        shape.ground, "resistance_more"
    )
    openness = parameters["floor_openness"] * ground_value(shape.ground, "openness_times")
    sites["floor_openness"] = np.clip(openness, LEAST_OPENNESS, 1.0)


def set_cover(sites: RecordArray, cover: Cover, parameters: RecordArray) -> None:
    """Lay this cover on every member; an open top sheds some rain by its dome."""
    for quantity, name in (
        ("resistance", "cover_resistance"),
        ("openness", "cover_openness"),
        ("rain_kept", "rain_kept"),
        ("vapour_returned", "vapour_returned"),
    ):
        sites[name] = cover_value(cover, quantity)
    if cover is Cover.OPEN:
        sites["rain_kept"] = parameters["rain_shed_domed"]


def fill_numbers(fills: Sequence[Fill], air_c: float) -> dict[str, FloatArray]:
    """Return what fills hold, each of shape (fills,): masses in kg, volume, temperature."""
    wet = np.array([fill.wet_mass_kg for fill in fills])
    water = wet * np.array([fill.moisture for fill in fills])
    dry = wet - water
    ash = dry * np.array([fill.ash_dry for fill in fills])
    solids = dry - ash
    fast = solids * np.array([fill.fast_share for fill in fills])
    medium = solids * np.array([fill.medium_share for fill in fills])
    given = [air_c if fill.temperature_c is None else fill.temperature_c for fill in fills]
    return {
        "water": water,
        "dry": dry,
        "ash": ash,
        "fast": fast,
        "medium": medium,
        "slow": np.maximum(solids - fast - medium, 0.0),
        "c_to_n": np.array([fill.c_to_n for fill in fills]),
        "volume": np.array([fill.volume_m3 for fill in fills]),
        "temperature": np.array(given, dtype=np.float64),
    }


def fill_amounts(
    fills: Sequence[Fill], air_c: float, parameters: RecordArray
) -> tuple[FloatArray, dict[str, FloatArray]]:
    """Return the amounts of whole fills, shape (members, fields), and their numbers."""
    numbers = fill_numbers(fills, air_c)
    amounts = np.zeros((len(fills), layout.CELL_FIELDS))
    amounts[:, layout.WATER] = numbers["water"]
    amounts[:, layout.FAST] = numbers["fast"]
    amounts[:, layout.MEDIUM] = numbers["medium"]
    amounts[:, layout.SLOW] = numbers["slow"]
    amounts[:, layout.ASH] = numbers["dry"] - (
        numbers["fast"] + numbers["medium"] + numbers["slow"]
    )
    solids = numbers["fast"] + numbers["medium"] + numbers["slow"]
    amounts[:, layout.NITROGEN] = parameters["carbon_of_solids"] * solids / numbers["c_to_n"]
    amounts[:, layout.BUILD_UP] = parameters["build_up_start"] * numbers["dry"]
    capacity = (
        parameters["solids_heat_j_kg_k"] * numbers["dry"]
        + parameters["water_heat_j_kg_k"] * numbers["water"]
    )
    amounts[:, layout.TEMPERATURE] = capacity * numbers["temperature"]
    return amounts, numbers


def book_fill(
    books: RecordArray,
    amounts: FloatArray,
    numbers: dict[str, FloatArray],
    parameters: RecordArray,
) -> None:
    """Enter fills as having come in."""
    books["dry_in_kg"] += numbers["dry"]
    books["carbon_in_kg"] += parameters["carbon_of_solids"] * (numbers["dry"] - numbers["ash"])
    books["nitrogen_in_kg"] += amounts[:, layout.NITROGEN]
    books["degradable_in_kg"] += numbers["fast"] + numbers["medium"]
    books["water_in_kg"] += numbers["water"]
    books["energy_in_j"] += amounts[:, layout.TEMPERATURE]


def cell_shares(radii: int, heights: int) -> FloatArray:
    """Return each cell's share of the heap's volume, shape (radii, heights)."""
    rings = np.diff(layout.ring_edges(radii) ** 2)
    return np.outer(rings, np.diff(layout.level_edges(heights)))


def build_state(
    shape: BinShape,
    fills: Sequence[Fill],
    parameter_rows: FloatArray,
    air_c: float,
    radii: int,
    heights: int,
) -> HeapState:
    """Return heaps as built: every member's fill spread evenly over its bin."""
    members = parameter_rows.shape[0]
    parameters = records(parameter_rows)
    sites = np.zeros(members, dtype=layout.SITE_DTYPE)
    set_bin(sites, shape, parameters)
    set_cover(sites, shape.cover, parameters)
    amounts, numbers = fill_amounts(fills, air_c, parameters)
    sites["volume_per_dry"] = numbers["volume"] / numbers["dry"]
    sites["looseness"] = 1.0
    books = np.zeros(members, dtype=layout.BOOK_DTYPE)
    book_fill(books, amounts, numbers, parameters)
    cells = np.zeros((members, layout.CELL_FIELDS, radii, heights))
    state = HeapState(parameters, sites, books, cells)
    state.set_amounts(amounts[:, :, None, None] * cell_shares(radii, heights))
    return state


def records(parameter_rows: FloatArray) -> RecordArray:
    """Return parameter rows, shape (members, numbers), as the kernel's records."""
    rows = np.ascontiguousarray(parameter_rows, dtype=np.float64)
    return rows.view(layout.PARAMETER_DTYPE)[:, 0]
