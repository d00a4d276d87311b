"""Compiled: what each cell is and does by itself: contents, decay, moist air, growth.

Knows one cell at a time, no neighbours. Knows nothing of weather or actions.
"""

from __future__ import annotations

from typing import Any

from heapwright.heap.kernel_air import saturation_pressure
from heapwright.heap.kernel_compile import inner
from heapwright.heap.layout import (
    ACTIVITY,
    AIR_SPACE,
    AMMONIUM,
    ASH,
    BUILD_UP,
    CAPACITY,
    CONDUCTIVITY,
    DEMAND,
    DRY_AIR,
    FACTOR,
    FAST,
    HEAT,
    HEAT_RISE,
    HOT_HOURS,
    LOSS_FAST,
    LOSS_MEDIUM,
    LOSS_RISE,
    LOSS_SLOW,
    MEDIUM,
    MET_SHARE,
    NEW_TEMPERATURE,
    NEW_WATER,
    NITROGEN,
    NITROGEN_FACTOR,
    OMEGA,
    OMEGA_RISE,
    OXYGEN,
    PER_AREA,
    RATE,
    RATE_RISE,
    SATURATION,
    SATURATION_RISE,
    SLOW,
    SPREAD,
    TEMPERATURE,
    WAITING_HOURS,
    WATER,
)
from heapwright.heap.types import FloatArray


@inner
def logistic(x: float) -> float:
    """Return 1 / (1 + exp(-x))."""
    value: float = 1.0 / (1.0 + exponential(-x))
    return value


@inner
def exponential(x: float) -> float:
    """Return exp(x) by a short series and six squarings, x held within -20 and 20."""
    s = max(-20.0, min(20.0, x)) * 0.015625
    e = 1.0 + s * (
        1.0
        + s
        * (0.5 + s * (0.16666666666666666 + s * (0.041666666666666664 + s * 0.008333333333333333)))
    )
    e *= e
    e *= e
    e *= e
    e *= e
    e *= e
    e *= e
    return e


@inner
def nitrogen_factor(p: Any, work: FloatArray, first: int, last: int) -> None:
    """Renew how far nitrogen slows each cell: (enough / C:N)^exponent, at most 1."""
    for c in range(first, last):
        solids = work[FAST, c] + work[MEDIUM, c] + work[SLOW, c]
        nitrogen = work[NITROGEN, c] + work[AMMONIUM, c]
        ratio = p.nitrogen_enough * nitrogen / (p.carbon_of_solids * solids + 1e-30)
        work[NITROGEN_FACTOR, c] = ratio**p.nitrogen_exponent if ratio < 1.0 else 1.0


@inner
def contents(
    p: Any, work: FloatArray, height: float, looseness: float, first: int, last: int
) -> None:
    """Set each cell's free air space, conductivity and slow rate factor."""
    bare, per_dry, per_water = (
        p.conductivity_bare_w_m_k,
        p.conductivity_per_dry_w_m2_kg,
        p.conductivity_per_water_w_m2_kg,
    )
    of_water, of_matter, of_ash = (
        1.0 / p.water_density_kg_m3,
        1.0 / p.matter_density_kg_m3,
        1.0 / p.ash_density_kg_m3,
    )
    wet_slope, wet_shift = p.moisture_slope, p.moisture_shift
    air_slope, air_shift = p.air_space_slope, p.air_space_shift
    least = p.air_space_least
    per_height = 1.0 / height
    loose = (looseness - p.settled_share) / (1.0 - p.settled_share + 1e-12)
    unclumped = p.settled_rate + (1.0 - p.settled_rate) * min(1.0, max(0.0, loose))
    for c in range(first, last):
        per_volume = work[PER_AREA, c] * per_height
        solids = work[FAST, c] + work[MEDIUM, c] + work[SLOW, c]
        water = work[WATER, c]
        dry = solids + work[ASH, c]
        filled = water * of_water + solids * of_matter + work[ASH, c] * of_ash
        space = min(0.95, max(least, 1.0 - filled * per_volume))
        work[AIR_SPACE, c] = space
        work[CONDUCTIVITY, c] = bare + (per_dry * dry + per_water * water) * per_volume
        work[FACTOR, c] = (
            unclumped
            * logistic(wet_slope * (water / (water + dry)) - wet_shift)
            * logistic(air_slope * space - air_shift)
            * work[NITROGEN_FACTOR, c]
        )


@inner
def vapour_spread(p: Any, work: FloatArray, first: int, last: int) -> None:
    """Set each cell's diffusion of vapour per area and distance, from its free air space."""
    at_zero = p.diffusivity_vapour_m2_s * (1.0 - 20.0 * p.diffusivity_rise_per_k)
    rise = p.diffusivity_vapour_m2_s * p.diffusivity_rise_per_k
    for c in range(first, last):
        space = work[AIR_SPACE, c]
        work[SPREAD, c] = space * space * work[DRY_AIR, c] * (at_zero + rise * work[TEMPERATURE, c])


@inner
def saturations(work: FloatArray, first: int, last: int) -> None:
    """Set every cell's saturation pressure and slope (held from 95 degC on)."""
    for c in range(first, last):
        pressure, slope = saturation_pressure(min(work[TEMPERATURE, c], 95.0))
        work[SATURATION, c] = pressure
        work[SATURATION_RISE, c] = slope


@inner
def reaction_rates(p: Any, work: FloatArray, first: int, last: int) -> None:
    """Set each cell's rate without oxygen, its relative slope, heat capacity and oxygen demand.

    Cardinal temperatures as Rosso, Lobry and Flandrois (1993); zero outside them.
    """
    low, best, high = p.temperature_lowest_c, p.temperature_best_c, p.temperature_highest_c
    fast, medium, slow = p.fast_rate_per_day, p.medium_rate_per_day, p.slow_rate_per_day
    per_second = p.oxygen_per_solids / 86400.0
    of_dry, of_water = p.solids_heat_j_kg_k, p.water_heat_j_kg_k
    span, fall = best - low, best - high
    for c in range(first, last):
        t = min(max(work[TEMPERATURE, c], low + 1e-6), high - 1e-6)
        inside = 1.0 if t == work[TEMPERATURE, c] else 0.0
        top = (t - high) * (t - low) * (t - low)
        below = span * (span * (t - best) - fall * (best + low - 2.0 * t))
        factor = inside * top / below
        rate = factor * work[FACTOR, c]
        work[RATE, c] = rate
        work[RATE_RISE, c] = inside * (
            1.0 / (t - high) + 2.0 / (t - low) - span * (span + 2.0 * fall) / below
        )
        use = fast * work[FAST, c] + medium * work[MEDIUM, c] + slow * work[SLOW, c]
        work[DEMAND, c] = per_second * rate * work[BUILD_UP, c] * use
        dry = work[FAST, c] + work[MEDIUM, c] + work[SLOW, c] + work[ASH, c]
        work[CAPACITY, c] = of_dry * dry + of_water * work[WATER, c]


@inner
def decay(p: Any, work: FloatArray, seconds: float, first: int, last: int) -> None:
    """Set what each pool of each cell would lose in this step, and how that rises with heat.

    The share lost is a rational form of 1 - exp(-x), never 1 or more. Activity is that of mid
    step. A falling rate is taken in whole by the step (stable), a rising one at mid step.
    """
    half, days = p.oxygen_half, seconds / 86400.0
    half_growth = 0.5 * 2.302585093 / p.build_up_tenfold_days * days
    fast_rate, medium_rate = p.fast_rate_per_day * days, p.medium_rate_per_day * days
    slow_rate = p.slow_rate_per_day * days
    heat_per_kg = p.heat_per_oxygen_j_kg * p.oxygen_per_solids
    for c in range(first, last):
        oxygen = work[OXYGEN, c]
        going = work[RATE, c] * oxygen / (half + oxygen)
        x = half_growth * going
        share = work[BUILD_UP, c]
        done = going * share * (1.0 + x) / (1.0 + x * share)
        x = done * fast_rate
        y = done * medium_rate
        lost_fast = work[FAST, c] * x / (1.0 + x * (0.5 + x * 0.08333333333333333))
        lost_medium = work[MEDIUM, c] * y / (1.0 + y * (0.5 + y * 0.08333333333333333))
        # The slow pool loses so little in a step that the first term is enough.
        lost_slow = work[SLOW, c] * min(done * slow_rate, 1.0)
        work[LOSS_FAST, c] = lost_fast
        work[LOSS_MEDIUM, c] = lost_medium
        work[LOSS_SLOW, c] = lost_slow
        most = (
            0.4 * work[CAPACITY, c] / (heat_per_kg * (lost_fast + lost_medium + lost_slow) + 1e-3)
        )
        relative = work[RATE_RISE, c]
        work[LOSS_RISE, c] = min(relative, min(0.5 * max(relative, 0.0), most))


@inner
def activities(p: Any, work: FloatArray, first: int, last: int) -> None:
    """Set each cell's water activity from its present water: X2 / (X2 + half2)."""
    sorbed = p.sorption_half * p.sorption_half
    for c in range(first, last):
        dry = work[FAST, c] + work[MEDIUM, c] + work[SLOW, c] + work[ASH, c]
        carried = work[WATER, c] * work[WATER, c]
        work[ACTIVITY, c] = carried / (carried + sorbed * dry * dry)


@inner
def moist_air(p: Any, work: FloatArray, first: int, last: int) -> None:
    """Set the water and heat of each cell's air as straight lines about its temperature."""
    pressure, ratio = p.air_pressure_pa, p.vapour_to_air_mass
    latent, of_vapour = p.latent_heat_j_kg, p.vapour_heat_j_kg_k
    for c in range(first, last):
        activity = work[ACTIVITY, c]
        vapour = activity * work[SATURATION, c]
        dry = 1.0 / (pressure - vapour)
        omega = ratio * vapour * dry
        rise = ratio * activity * work[SATURATION_RISE, c] * pressure * dry * dry
        content = latent + of_vapour * work[TEMPERATURE, c]
        work[OMEGA, c] = omega
        work[OMEGA_RISE, c] = rise
        work[HEAT, c] = omega * content
        work[HEAT_RISE, c] = rise * content + omega * of_vapour


@inner
def take_step(
    p: Any, work: FloatArray, seconds: float, first: int, last: int
) -> tuple[float, float]:
    """Make the new values the present ones; return dry mass decayed and heat of matter changed.

    Decayed matter takes its own heat along and made water brings its own, both at the cell's
    temperature: the heat of reaction is stated at that temperature.
    """
    half, hot, wanted = p.oxygen_half, p.hot_temperature_c, p.hot_hours_wanted
    growth = 2.302585093 / p.build_up_tenfold_days * seconds / 86400.0
    matter_heat = p.water_heat_j_kg_k * p.water_per_solids - p.solids_heat_j_kg_k
    decayed, matter = 0.0, 0.0
    for c in range(first, last):
        lost = work[LOSS_FAST, c] + work[LOSS_MEDIUM, c] + work[LOSS_SLOW, c]
        decayed += lost
        matter += matter_heat * work[TEMPERATURE, c] * lost
        work[FAST, c] -= work[LOSS_FAST, c]
        work[MEDIUM, c] -= work[LOSS_MEDIUM, c]
        work[SLOW, c] -= work[LOSS_SLOW, c]
        work[WATER, c] = work[NEW_WATER, c]
        x = growth * work[RATE, c] * work[OXYGEN, c] / (half + work[OXYGEN, c])
        grown = (1.0 + x * (0.5 + x * 0.08333333333333333)) / (
            1.0 + x * (x * 0.08333333333333333 - 0.5)
        )
        share = work[BUILD_UP, c]
        work[BUILD_UP, c] = share * grown / (1.0 - share + share * grown)
    hours = seconds / 3600.0
    for c in range(first, last):
        before, after = work[TEMPERATURE, c], work[NEW_TEMPERATURE, c]
        work[TEMPERATURE, c] = after
        high, low = max(before, after), min(before, after)
        # The temperature is taken to run straight through the step.
        spent = hours * min(1.0, max(0.0, (high - hot) / (high - low + 1e-9)))
        work[HOT_HOURS, c] += spent
        work[WAITING_HOURS, c] += spent
        work[MET_SHARE, c] = 1.0 if work[WAITING_HOURS, c] >= wanted else work[MET_SHARE, c]
    return decayed, matter
