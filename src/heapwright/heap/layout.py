"""How a heap lies in memory for the compiled kernel: cell fields, records of the bin and books.

Knows names, places and types only, shared by the kernel (compiled) and the plain code around it.
Knows no physics. Axis order is always (member, field, radius, height), height from the foot up.
"""

from __future__ import annotations

import hashlib
from importlib import resources

import numpy as np
from numpy.typing import NDArray

from heapwright.heap.parameters import PARAMETER_IDS

# Cells along radius and height unless another grid is asked for.
USUAL_RADII = 6
USUAL_HEIGHTS = 10
# Rings get thinner outwards, where temperature and water change most: the edge after the share x of
# the rings lies at x (1 + grading - grading x) of the radius. 0 makes all equally thick.
RING_GRADING = 0.6
# Levels get thinner towards foot and top alike: the edge after the share x of the levels lies at
# x - grading sin(2 pi x) / (2 pi) of the height.
LEVEL_GRADING = 0.3

# The core, for its moisture and oxygen: cells whose middle lies within these shares of the radius
# from the axis and of the height from half height.
CORE_RADIUS = 0.5
CORE_HALF_HEIGHT = 0.2

# Fields of a cell. Extensive ones are whole amounts in the ring-shaped cell.
TEMPERATURE = 0  # degC
WATER = 1  # kg
FAST = 2  # kg, fast pool of volatile solids
MEDIUM = 3  # kg, medium pool
SLOW = 4  # kg, volatile solids that do not decay in a season
ASH = 5  # kg
NITROGEN = 6  # kg, bound in matter and microbes
BUILD_UP = 7  # 0-1, activity grown so far
HOT_HOURS = 8  # h at 55 degC or more, mean of the material
WAITING_HOURS = 9  # the same for the material that has not yet met 72 h
MET_SHARE = 10  # share of the material that has met 72 h
OXYGEN = 11  # share of the pore gas by volume
NITROGEN_FACTOR = 12  # 0-1, slow, renewed daily
AMMONIUM = 13  # kg of nitrogen, dissolved
CELL_FIELDS = 14

# Rows of the kernel's work space. The first are the cell fields above; all have one place per cell,
# radius by radius, with one spare column (heights places) at each end. A face row holds at c the
# face between cell c and its outer (R) or upper (Z) neighbour, and zero where there is none.
# TALL is a cell's share of the height; areas and distances are per metre of the heap's height.
(
    TALL,
    PER_AREA,
    SHAPE_R,
    SHAPE_Z,
    AIR_SPACE,
    ACTIVITY,
    FACTOR,
    CONDUCTIVITY,
    SPREAD,
    SATURATION,
    SATURATION_RISE,
    DRY_AIR,
    LIGHTNESS,
    PUSH,
    MOBILITY,
    DEMAND,
    LEAVING,
    RIM_BREATH,
    BREATH,
    CAPACITY,
    RATE,
    RATE_RISE,
    OMEGA,
    OMEGA_RISE,
    HEAT,
    HEAT_RISE,
    LOSS_FAST,
    LOSS_MEDIUM,
    LOSS_SLOW,
    LOSS_RISE,
    NET,
    DIAGONAL_R,
    LOWER_R,
    UPPER_R,
    DIAGONAL_Z,
    LOWER_Z,
    UPPER_Z,
    CHANGE_R,
    CHANGE,
    GAIN,
    NEW_TEMPERATURE,
    NEW_WATER,
    FLOW_R,
    BREATH_OUT_R,
    BREATH_IN_R,
    OUTWARD_R,
    INWARD_R,
    SENSIBLE_OUT_R,
    SENSIBLE_IN_R,
    WATER_R,
    HEAT_R,
    FLOW_Z,
    BREATH_OUT_Z,
    BREATH_IN_Z,
    OUTWARD_Z,
    INWARD_Z,
    SENSIBLE_OUT_Z,
    SENSIBLE_IN_Z,
    WATER_Z,
    HEAT_Z,
    SOLIDS_BEFORE,
    AMMONIA,
) = range(CELL_FIELDS, CELL_FIELDS + 62)
WORK_ROWS = CELL_FIELDS + 62

# The outside faces: three groups, each a row of faces; and what is kept for each face.
SIDE, TOP, FOOT = range(3)
RIM_FLOW, RIM_LEAVING, RIM_ENTERING, RIM_OUTWARD, RIM_LED = range(5)
RIM_ROWS = 5

# Places in the vector of what surrounds the heap in an hour: the surfaces follow the groups' order.
SIDE_C, TOP_C, GROUND_C, OUT_C, OUT_OMEGA, OUT_HEAT, AIR_DENSITY, FILM, SUCTION = range(9)
# What left in a step follows: heat led through each group, heat with the air [J], water [kg].
LEFT, LEFT_WITH_AIR, LEFT_WATER = 9, 12, 13
OUTSIDE_VALUES = 14

# Columns of the hourly weather given to the kernel.
AIR_C, HUMIDITY, WIND, RAIN, SUN, SOIL_C = range(6)
WEATHER_COLUMNS = 6

# Columns of the hourly trace of a member.
(
    TRACE_PROBE,
    TRACE_CORE_MOISTURE,
    TRACE_MEAN_MOISTURE,
    TRACE_DEGRADABLE,
    TRACE_HEIGHT,
    TRACE_VOLUME,
    TRACE_DRY,
    TRACE_WATER,
    TRACE_SOLIDS,
    TRACE_NITROGEN,
    TRACE_AMMONIA_LOST,
    TRACE_NITROGEN_DRAINED,
    TRACE_EVAPORATED,
    TRACE_DRAINED,
    TRACE_HEAT_RELEASED,
    TRACE_HEAT_WITH_AIR,
    TRACE_HEAT_THROUGH_SIDE,
    TRACE_HEAT_THROUGH_TOP,
    TRACE_HEAT_INTO_GROUND,
    TRACE_HEAT_LOST_TURNING,
) = range(20)
TRACE_COLUMNS = 20

# Fields recorded for every cell and hour of a single run.
RECORD_TEMPERATURE, RECORD_MOISTURE, RECORD_OXYGEN = range(3)
RECORD_FIELDS = 3


def ring_edges(radii: int) -> NDArray[np.float64]:
    """Return the edges of the rings as shares of the radius, shape (radii+1,), axis to wall."""
    share = np.arange(radii + 1) / radii
    return np.asarray(share * (1.0 + RING_GRADING - RING_GRADING * share))


def level_edges(heights: int) -> NDArray[np.float64]:
    """Return the edges of the levels as shares of the height, shape (heights+1,), foot to top."""
    share = np.arange(heights + 1) / heights
    return np.asarray(share - LEVEL_GRADING * np.sin(2.0 * np.pi * share) / (2.0 * np.pi))


def middles(edges: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the places halfway between edges."""
    return np.asarray(0.5 * (edges[1:] + edges[:-1]))


PARAMETER_DTYPE = np.dtype([(name, np.float64) for name in PARAMETER_IDS])

KERNEL_FILES = (
    "layout.py",
    "kernel_compile.py",
    "kernel_grid.py",
    "kernel_air.py",
    "kernel_cells.py",
    "kernel_heat.py",
    "kernel_rim.py",
    "kernel_books.py",
    "kernel_water.py",
    "kernel_nitrogen.py",
    "kernel.py",
)


def source_fingerprint() -> str:
    """Return a short mark of the kernel's own source.

    Numba's cache on disk watches one file per function and would run an old kernel after a
    change in another file. The mark is a field name of the record the kernel is given, so a
    changed source is a changed signature, and it is compiled anew.
    """
    folder = resources.files("heapwright.heap")
    text = b"".join(folder.joinpath(name).read_bytes() for name in KERNEL_FILES)
    return hashlib.sha256(text).hexdigest()[:12]


# One bin as the kernel sees it. `volume_per_dry` is of the loose heap [m3/kg]; `looseness` 0-1
# multiplies it. Openness is the share through which air enters freely.
SITE_DTYPE = np.dtype(
    [
        (name, np.float64)
        for name in (
            "radius_m",
            "wall_factor",
            "wall_resistance",
            "wall_openness",
            "cover_resistance",
            "cover_openness",
            "rain_kept",
            "vapour_returned",
            "shade",
            "ground_resistance",
            "floor_openness",
            "volume_per_dry",
            "looseness",
            "kernel_" + source_fingerprint(),
        )
    ]
)

# What went in and out of one heap since it was built. Terms ending in `_lost` count as positive
# when they leave the heap. The `worst_` fields hold the largest relative error of each balance.
BOOK_DTYPE = np.dtype(
    [
        (name, np.float64)
        for name in (
            "dry_in_kg",
            "dry_decayed_kg",
            "degradable_in_kg",
            "carbon_in_kg",
            "carbon_decayed_kg",
            "nitrogen_in_kg",
            "ammonia_lost_kg",
            "nitrogen_drained_kg",
            "water_in_kg",
            "water_rain_kg",
            "water_given_kg",
            "water_made_kg",
            "water_evaporated_kg",
            "water_drained_kg",
            "energy_in_j",
            "energy_reaction_j",
            "energy_matter_j",
            "energy_rain_j",
            "energy_given_j",
            "energy_drained_lost_j",
            "energy_air_lost_j",
            "energy_wall_lost_j",
            "energy_top_lost_j",
            "energy_ground_lost_j",
            "energy_turn_lost_j",
            "worst_dry",
            "worst_water",
            "worst_carbon",
            "worst_nitrogen",
            "worst_energy",
            "worst_hour",
            "steps",
        )
    ]
)
