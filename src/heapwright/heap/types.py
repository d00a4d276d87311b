"""The types of the heap floor: the bin, its fill, what is done to it, and what comes out.

Knows what is passed in and out of a heap run. Holds no physics.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from datetime import datetime
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


class Wall(StrEnum):
    """What the sides are made of (rows of the table `walls.csv`)."""

    WIRE = "wire"
    SLATS = "slats"
    PALLETS = "pallets"
    BOARDS = "boards"
    BLOCKS = "blocks"
    PLASTIC = "plastic"
    BALES = "bales"
    NONE = "none"  # an open heap


class Cover(StrEnum):
    """What lies on top (rows of the table `covers.csv`)."""

    OPEN = "open"
    BROWN_CAP = "brown cap"
    TARP = "tarp"
    LID = "lid"


class Ground(StrEnum):
    """What the heap stands on (rows of the table `grounds.csv`)."""

    COARSE = "coarse base"  # twigs or chips on soil
    SOIL = "soil"
    SLAB = "slab"  # paving or concrete
    GRID = "grid"  # raised on a pallet or mesh, air below
    CLOSED = "closed floor"  # the bottom of a tub or drum


@dataclass(frozen=True, slots=True)
class BinShape:
    """A bin as built. A square bin is mapped to the cylinder of equal volume and height.

    A round bin has `width_m` as its diameter; `depth_m` then says the same.
    """

    width_m: float
    depth_m: float
    height_m: float
    wall: Wall = Wall.PALLETS
    cover: Cover = Cover.BROWN_CAP
    shade: float = 0.0  # share of sun kept off, 0-1
    ground: Ground = Ground.COARSE
    is_round: bool = False

    @property
    def plan_m2(self) -> float:
        """Plan area. [m²]"""
        area = self.width_m * self.depth_m
        return 0.25 * math.pi * area if self.is_round else area

    @property
    def girth_m(self) -> float:
        """Length of the wall all round. [m]"""
        if self.is_round:
            return 0.5 * math.pi * (self.width_m + self.depth_m)
        return 2.0 * (self.width_m + self.depth_m)

    @property
    def volume_m3(self) -> float:
        """Inner volume. [m³]"""
        return self.plan_m2 * self.height_m


@dataclass(frozen=True, slots=True)
class Fill:
    """What is put into the bin when it is built, as one mixture.

    Attributes
    ----------
    wet_mass_kg, moisture, volume_m3 : float
        As built, water included; moisture wet basis [0-1].
    ash_dry : float
        Ash as share of dry mass. [0-1]
    fast_share, medium_share : float
        Of volatile solids. [0-1]
    c_to_n : float
    temperature_c : float or None
        None: the air's mean of the building day.

    """

    wet_mass_kg: float
    moisture: float
    volume_m3: float
    ash_dry: float
    fast_share: float
    medium_share: float
    c_to_n: float
    temperature_c: float | None = None


class ActionKind(StrEnum):
    """What a person does to a heap."""

    STIR = "stir"  # turned where it stands
    MOVE = "move"  # forked inside-out into the next bin
    WET = "wet"
    ADD = "add"
    COVER = "cover"


@dataclass(frozen=True, slots=True)
class HeapAction:
    """One action, applied at the start of its hour.

    Attributes
    ----------
    hour : float
        Hours after the start of the run.
    water_kg : float
        Water given during the action (WET, or while turning).
    fill : Fill or None
        What is added (ADD).
    cover : Cover or None
        New cover (COVER).
    new_bin : BinShape or None
        The bin moved into (MOVE); None keeps the same shape.

    """

    hour: float
    kind: ActionKind
    water_kg: float = 0.0
    fill: Fill | None = None
    cover: Cover | None = None
    new_bin: BinShape | None = None


@dataclass(frozen=True, slots=True)
class Redistribution:
    """Where an action carried the heap's material, so that it can be followed through turns.

    Attributes
    ----------
    hour : int
        Index of the hour at whose start it happened.
    kind : ActionKind
    matrix : array, shape (cells, cells)
        Row: new place, column: old place, cells radius by radius; every column adds up to 1.
    added_kg : float
        Dry mass added.
    added : array, shape (cells,)
        Share of the added material in each new place; adds up to 1, or all 0 without any.

    """

    hour: int
    kind: ActionKind
    matrix: FloatArray
    added_kg: float
    added: FloatArray


@dataclass(frozen=True, slots=True)
class Ledger:
    """What has come free and left since the heap was built, hour by hour, each (hours+1,).

    Heat lost through a face counts as positive when it leaves the heap; heat with the air holds
    the latent heat of the vapour. What an action does counts from the following hour on.
    """

    heat_released_j: FloatArray
    heat_with_air_j: FloatArray
    heat_through_side_j: FloatArray
    heat_through_top_j: FloatArray
    heat_into_ground_j: FloatArray
    heat_lost_turning_j: FloatArray
    water_evaporated_kg: FloatArray
    water_drained_kg: FloatArray
    ammonia_lost_kg: FloatArray  # as nitrogen
    nitrogen_drained_kg: FloatArray


@dataclass(frozen=True, slots=True)
class HeapRun:
    """What one heap run gives, hour by hour. Time is always the first axis.

    Index `i` is the state at `start + i hours`; index 0 is the state as built.

    Attributes
    ----------
    start : datetime
    temperature_c : array, shape (hours+1, radii, heights)
        Cell temperatures. [°C]
    moisture : array, same shape
        Wet basis. [0-1]
    oxygen : array, same shape
        Share of pore gas by volume. [0-0.209]
    radius_m : array, shape (radii,)
        Mid radius of the cells (fixed).
    radius_edges_m : array, shape (radii+1,)
        Edges of the rings, from the axis to the wall.
    level_edges : array, shape (heights+1,)
        Edges of the levels as shares of the heap's height, foot to top.
    height_m : array, shape (hours+1,)
        Height of the heap. [m]
    volume_m3, dry_mass_kg, water_kg, volatile_solids_kg, nitrogen_kg : array, shape (hours+1,)
    degradable_left : array, shape (hours+1,)
        Fast and medium pools left, as share of those built in. [0-1]
    hours_above_55_c : array, shape (radii, heights)
        At the end of the run, carried through turns (mixed with the material).
    cell_share : array, shape (radii, heights)
        Share of the heap's volume in each cell; sums to 1.
    water_evaporated_kg, water_drained_kg, water_rain_kg, water_added_kg, heat_released_j : float
    ledger : Ledger
    redistributions : tuple of Redistribution
        In order of time.
    worst_balance_error : float
        Largest relative error of any balance in any hour.

    """

    start: datetime
    temperature_c: FloatArray
    moisture: FloatArray
    oxygen: FloatArray
    radius_m: FloatArray
    radius_edges_m: FloatArray
    level_edges: FloatArray
    height_m: FloatArray
    volume_m3: FloatArray
    dry_mass_kg: FloatArray
    water_kg: FloatArray
    volatile_solids_kg: FloatArray
    nitrogen_kg: FloatArray
    degradable_left: FloatArray
    hours_above_55_c: FloatArray
    cell_share: FloatArray
    water_evaporated_kg: float
    water_drained_kg: float
    water_rain_kg: float
    water_added_kg: float
    heat_released_j: float
    ledger: Ledger
    redistributions: tuple[Redistribution, ...]
    worst_balance_error: float

    @property
    def hours(self) -> int:
        """Length of the run in hours."""
        return int(self.height_m.shape[0]) - 1


@dataclass(frozen=True, slots=True)
class EnsembleRun:
    """Many runs of the same heap with different parameters and fills, reduced to what is read.

    Attributes
    ----------
    probe_c : array, shape (hours+1, members)
        Temperature where the thermometer's tip sits. [°C]
    core_moisture, mean_moisture, degradable_left, height_m : array, shape (hours+1, members)
    volume_m3, dry_mass_kg, water_kg, nitrogen_kg : array, shape (hours+1, members)
    ammonia_lost_kg, water_evaporated_kg : array, shape (hours+1, members)
        Since it was built; ammonia as nitrogen.
    hot_share : array, shape (members,)
        Share of the heap's material that has spent at least 72 h at 55 °C or more, an inference
        of the model, never proof.

    """

    start: datetime
    probe_c: FloatArray
    core_moisture: FloatArray
    mean_moisture: FloatArray
    degradable_left: FloatArray
    height_m: FloatArray
    volume_m3: FloatArray
    dry_mass_kg: FloatArray
    water_kg: FloatArray
    nitrogen_kg: FloatArray
    ammonia_lost_kg: FloatArray
    water_evaporated_kg: FloatArray
    hot_share: FloatArray

    def of_members(self, members: IntArray) -> EnsembleRun:
        """Return the run of some members, in this order."""
        chosen = {
            field.name: np.ascontiguousarray(getattr(self, field.name)[..., members])
            for field in fields(self)
            if field.name != "start"
        }
        return EnsembleRun(start=self.start, **chosen)
