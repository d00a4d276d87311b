"""The types of the heap floor: the bin, its fill, what is done to it, and what comes out.

Knows what is passed in and out of a heap run. Holds no physics.
"""

from __future__ import annotations

from dataclasses import dataclass
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


@dataclass(frozen=True, slots=True)
class BinShape:
    """A bin as built. A square bin is mapped to the cylinder of equal volume and height."""

    width_m: float
    depth_m: float
    height_m: float
    wall: Wall = Wall.PALLETS
    cover: Cover = Cover.BROWN_CAP
    shade: float = 0.0  # share of sun kept off, 0-1

    @property
    def volume_m3(self) -> float:
        """Inner volume. [m³]"""
        return self.width_m * self.depth_m * self.height_m


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
    height_m : array, shape (hours+1,)
        Height of the heap; cells share it equally. [m]
    volume_m3, dry_mass_kg, water_kg, volatile_solids_kg : array, shape (hours+1,)
    degradable_left : array, shape (hours+1,)
        Fast and medium pools left, as share of those built in. [0-1]
    hours_above_55_c : array, shape (radii, heights)
        At the end of the run, carried through turns (mixed with the material).
    cell_share : array, shape (radii, heights)
        Share of the heap's volume in each cell; sums to 1.
    water_evaporated_kg, water_drained_kg, water_rain_kg, water_added_kg, heat_released_j : float

    """

    start: datetime
    temperature_c: FloatArray
    moisture: FloatArray
    oxygen: FloatArray
    radius_m: FloatArray
    height_m: FloatArray
    volume_m3: FloatArray
    dry_mass_kg: FloatArray
    water_kg: FloatArray
    volatile_solids_kg: FloatArray
    degradable_left: FloatArray
    hours_above_55_c: FloatArray
    cell_share: FloatArray
    water_evaporated_kg: float
    water_drained_kg: float
    water_rain_kg: float
    water_added_kg: float
    heat_released_j: float

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
    dry_mass_kg : array, shape (hours+1, members)
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
    dry_mass_kg: FloatArray
    hot_share: FloatArray
