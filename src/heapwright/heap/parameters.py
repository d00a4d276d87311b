"""The heap model's numbers: read from `data/parameters.csv`, held together, drawn for ensembles.

Knows each number's name, range and source, and the order in which the compiled kernel gets them
(the order of the fields of `Parameters`, which is the order of the rows of the table). Knows
nothing of what the model does with them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import astuple, dataclass, fields
from functools import cache

import numpy as np
from numpy.typing import NDArray

from heapwright.tables import Estimate, parameter_table

FloatArray = NDArray[np.float64]

PACKAGE = "heapwright.heap.data"
# A table's low and high are read as the ends of nine tenths of a bell curve.
_DEVIATIONS_AT_ENDS = 1.645
# How far a draw may go past the ends, so that no absurd number is ever drawn.
DEVIATIONS_MOST = 2.2
# From this ratio of high to low a number is drawn on a logarithmic scale.
_WIDE_RATIO = 4.0


@dataclass(frozen=True, slots=True)
class Parameters:
    """Every physical number of one heap run; meaning, unit and source stand in the table.

    The index of a field in `to_array()` is its place in this list.
    """

    fast_rate_per_day: float
    medium_rate_per_day: float
    slow_rate_per_day: float
    temperature_lowest_c: float
    temperature_best_c: float
    temperature_highest_c: float
    moisture_slope: float
    moisture_shift: float
    air_space_slope: float
    air_space_shift: float
    oxygen_half: float
    nitrogen_enough: float
    nitrogen_exponent: float
    carbon_of_solids: float
    microbe_carbon_share: float
    microbe_c_to_n: float
    ammonia_ph: float
    ammonia_strength: float
    ammonia_strength_k: float
    ammonia_gas_share: float
    ammonia_rise_k: float
    build_up_start: float
    build_up_tenfold_days: float
    heat_per_oxygen_j_kg: float
    oxygen_per_solids: float
    water_per_solids: float
    solids_heat_j_kg_k: float
    water_heat_j_kg_k: float
    conductivity_bare_w_m_k: float
    conductivity_per_dry_w_m2_kg: float
    conductivity_per_water_w_m2_kg: float
    film_still_w_m2_k: float
    film_per_wind_j_m3_k: float
    wind_shelter: float
    wind_suction: float
    wind_suction_most_pa: float
    sun_absorptance: float
    sun_side_share: float
    sky_loss_w_m2: float
    ground_resistance_m2_k_w: float
    soil_memory_days: float
    permeability_m2: float
    permeability_air_space: float
    permeability_most_m2: float
    floor_openness: float
    diffusivity_oxygen_m2_s: float
    diffusivity_vapour_m2_s: float
    skin_m: float
    diffusivity_rise_per_k: float
    air_viscosity_pa_s: float
    air_pressure_pa: float
    gravity_m_s2: float
    gas_constant_air_j_kg_k: float
    gas_constant_vapour_j_kg_k: float
    vapour_to_air_mass: float
    oxygen_to_air_mass: float
    exchange_gas_weight: float
    oxygen_outside: float
    air_heat_j_kg_k: float
    vapour_heat_j_kg_k: float
    latent_heat_j_kg: float
    sorption_half: float
    holding_kg_kg: float
    drain_hours: float
    water_channelled: float
    rain_shed_domed: float
    matter_density_kg_m3: float
    ash_density_kg_m3: float
    water_density_kg_m3: float
    air_space_least: float
    settled_share: float
    settled_rate: float
    settling_days: float
    move_mixing: float
    move_reopening: float
    move_cooling: float
    stir_mixing: float
    stir_reopening: float
    stir_cooling: float
    turn_steam_share: float
    hot_temperature_c: float
    hot_hours_wanted: float

    def to_array(self) -> FloatArray:
        """Return the numbers in the order of the fields, shape (numbers,)."""
        return np.array(astuple(self), dtype=np.float64)

    @classmethod
    def from_array(cls, values: FloatArray) -> Parameters:
        """Return the parameters held in one row of `sample_parameters`."""
        return cls(*(float(value) for value in values))


PARAMETER_IDS: tuple[str, ...] = tuple(field.name for field in fields(Parameters))


def parameter_estimates() -> Mapping[str, Estimate]:
    """Return the range and source of every number by its id."""
    return parameter_table(PACKAGE, "parameters.csv")


def load_parameters() -> Parameters:
    """Return the typical value of every number."""
    table = parameter_estimates()
    return Parameters(**{name: table[name].typical for name in PARAMETER_IDS})


def sample_parameters(members: int, rng: np.random.Generator) -> FloatArray:
    """Draw parameter sets from the ranges of the table.

    Each number is drawn on its own from a two-sided bell curve whose ends (low, high) hold nine
    tenths; wide ranges (high four or more times low) on a logarithmic scale.

    Parameters
    ----------
    members : int
    rng : numpy Generator
        The caller's; nothing else is random.

    Returns
    -------
    array, shape (members, numbers)
        Column order as the fields of `Parameters`.

    """
    return parameters_at(sample_deviations(members, rng))


def sample_deviations(members: int, rng: np.random.Generator) -> FloatArray:
    """Draw standard normal deviations for `parameters_at`, shape (members, numbers)."""
    drawn = rng.standard_normal((len(PARAMETER_IDS), members)).T
    return np.asarray(drawn.clip(-DEVIATIONS_MOST, DEVIATIONS_MOST))


def parameters_at(deviations: FloatArray) -> FloatArray:
    """Return the parameter sets that lie so many standard deviations from the typical ones.

    0 is the typical value of the table; at -1.64 and 1.64 lie the ends of its range, so that nine
    tenths of a standard normal draw lie between them. Wide ranges (high four or more times low)
    are measured on a logarithmic scale.

    Parameters
    ----------
    deviations : array, shape (members, numbers)
        Column order as the fields of `Parameters`.

    Returns
    -------
    array, shape (members, numbers)

    """
    ranges = _ranges()
    share = deviations / _DEVIATIONS_AT_ENDS
    width = np.where(share > 0, ranges.above, ranges.below)
    rows = ranges.typical + share * width
    rows[:, ranges.is_wide] = np.exp(rows[:, ranges.is_wide])
    return np.ascontiguousarray(np.maximum(rows, ranges.least))


def uncertain_parameters() -> tuple[str, ...]:
    """Return the ids of the numbers whose range has a width, in the order of the fields."""
    table = parameter_estimates()
    return tuple(name for name in PARAMETER_IDS if table[name].high > table[name].low)


@dataclass(frozen=True, slots=True)
class _Ranges:
    """The table's ranges as arrays, shape (numbers,); wide ones by their logarithms."""

    typical: FloatArray
    below: FloatArray
    above: FloatArray
    least: FloatArray
    is_wide: NDArray[np.bool_]


@cache
def _ranges() -> _Ranges:
    table = parameter_estimates()
    low, typical, high = (
        np.array([getattr(table[name], end) for name in PARAMETER_IDS], dtype=np.float64)
        for end in ("low", "typical", "high")
    )
    wide = (low > 0) & (high >= _WIDE_RATIO * low)
    least = np.where(wide, 0.0, np.minimum(low, 0.0))
    low, typical, high = (
        np.where(wide, np.log(np.where(wide, end, 1.0)), end) for end in (low, typical, high)
    )
    return _Ranges(typical, typical - low, high - typical, least, wide)
