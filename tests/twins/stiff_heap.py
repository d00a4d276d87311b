"""One heap as a system of ordinary differential equations, written anew from the equations.

Every rate is worked out from one state: nothing is split, lagged or limited to a step, and there is
no step of its own; a stiff solver of SciPy chooses it. Draught and oxygen are steady states solved
inside the rates. Weather stays as it is through an hour, so the solver starts anew each hour.

With `held`, what the kernel keeps is kept here too (contents and exchange per unit through the
hour, draught through two, the nitrogen factor through the day): then only the kernel's step,
splitting and sweeps are left to differ. No rain, no draining and no ammonia: the fill must hold its
water and have no nitrogen to spare. Used in tests and benchmarks only.
"""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp

from heapwright.heap import layout
from heapwright.heap.state import HeapState
from heapwright.heap.types import FloatArray
from tests.twins.stiff_air import (
    TOP,
    Exchange,
    Faces,
    Flows,
    Pores,
    Surroundings,
    saturation,
    surroundings,
)

HOUR_S = 3600.0
DAY_S = 86400.0
DAY_H = 24
#: Draught and oxygen are found in turn until oxygen changes by less than this share of the gas.
OXYGEN_AGREES = 1e-8
#: Rows of the state, one column for each cell.
FIELDS = (
    layout.TEMPERATURE,
    layout.WATER,
    layout.FAST,
    layout.MEDIUM,
    layout.SLOW,
    layout.BUILD_UP,
)


def _named(record: Any) -> SimpleNamespace:
    """Return the record as plain numbers: reading a record by name takes longer than sums."""
    return SimpleNamespace(**{name: float(record[name]) for name in record.dtype.names})


class StiffHeap:
    """One heap as built by `build_state`, followed by a stiff solver."""

    def __init__(self, state: HeapState, *, held: bool) -> None:
        self.p: Any = _named(state.parameters[0])
        self.site: Any = _named(state.sites[0])
        cells = state.cells[0]
        self.grid = cells.shape[1:]
        self.faces = Faces(self.p, self.site, *self.grid)
        self.y = np.concatenate([cells[name].ravel() for name in FIELDS])
        self.ash = cells[layout.ASH].reshape(-1, 1)
        self.nitrogen = (cells[layout.NITROGEN] + cells[layout.AMMONIUM]).reshape(-1, 1)
        self.oxygen = cells[layout.OXYGEN].reshape(-1, 1)
        self.held, self.hours, self.evaluations = held, 0, 0
        self.loose_as_built = float(self.site.looseness)
        dry = float(state.dry_kg.mean())
        sizes = np.array([50.0, dry, dry, dry, dry, 1.0])
        self.sizes = np.repeat(sizes, self.faces.cells)

    @property
    def temperature_c(self) -> FloatArray:
        """Present temperatures, shape (radii, heights)."""
        return self.y[: self.faces.cells].reshape(self.grid)

    @property
    def water_kg(self) -> float:
        """All water in the heap."""
        return float(self._columns()[1].sum())

    @property
    def solids_kg(self) -> float:
        """All volatile solids left."""
        return float(self._columns()[2:5].sum())

    @property
    def wettest(self) -> float:
        """Most water per dry matter of any cell; above what matter holds, water would drain."""
        y = self._columns()
        return float((y[1] / self._dry(y)).max())

    def _columns(self) -> FloatArray:
        return self.y.reshape(len(FIELDS), self.faces.cells, 1)

    def hour(self, weather: FloatArray, *, method: str = "LSODA", rtol: float = 1e-6) -> None:
        """Advance by one hour with this row of the weather table."""
        around = surroundings(self.p, self.site, weather)
        if self.held:
            self._renew(around)

        def slope(seconds: float, flat: FloatArray) -> FloatArray:
            columns = flat.reshape(len(FIELDS), self.faces.cells, -1)
            self.evaluations += columns.shape[2]
            return self.rates(columns, seconds, around).reshape(flat.shape)

        done = solve_ivp(
            slope, (0.0, HOUR_S), self.y, method=method, rtol=rtol, atol=rtol * self.sizes,
            vectorized=True, t_eval=[HOUR_S],
        )  # fmt: skip
        if not done.success:
            raise ArithmeticError(done.message)
        self.y = done.y[:, -1]
        if self.held:  # the next draught starts from the oxygen of this hour's end
            demand = self._demand(self._columns(), self.slowing_held)
            self.oxygen = self.faces.steady_oxygen(self.exchange_held, demand)
        self.hours += 1

    def _renew(self, around: Surroundings) -> None:
        """Keep what the kernel keeps, as it stands at the start of this hour."""
        y, looseness = self._columns(), self.looseness(0.0)
        if self.hours % DAY_H == 0:
            self.limit_held = self._limit(y)
        pores, height = self._pores(y, looseness), self._height(y, looseness)
        if self.hours % 2 == 0:
            self.flows_held: Flows = self.faces.draught(y[0], pores, self.oxygen, height, around)
            self.dry_air_held = pores.dry_air
        pores = replace(pores, dry_air=self.dry_air_held)
        self.exchange_held: Exchange = self.faces.exchange(
            y[0], pores, self.flows_held, height, around
        )
        self.slowing_held = self._slowing(y, pores.space, looseness, self.limit_held)

    def rates(self, y: FloatArray, seconds: float, around: Surroundings) -> FloatArray:
        """Rate of change of every row of the state, shape (rows, cells, columns). [1/s]"""
        p = self.p
        looseness = self.looseness(seconds)
        pores = self._pores(y, looseness)
        if self.held:
            exchange, slowing = self.exchange_held, self.slowing_held
            oxygen = self.faces.steady_oxygen(exchange, self._demand(y, slowing))
        else:
            slowing = self._slowing(y, pores.space, looseness, self._limit(y))
            exchange, oxygen = self._air_at_rest(y, pores, slowing, looseness, around)
        going = self._warmth(y[0]) * slowing * oxygen / (p.oxygen_half + oxygen) / DAY_S
        active = going * y[5]
        rates = (p.fast_rate_per_day, p.medium_rate_per_day, p.slow_rate_per_day)
        lost = [active * rate * pool for rate, pool in zip(rates, y[2:5], strict=True)]
        growth = np.log(10) / p.build_up_tenfold_days * going * y[5] * (1 - y[5])
        warming, wetting = self._exchanged(y[0], pores, exchange, around)
        warming = warming + p.heat_per_oxygen_j_kg * p.oxygen_per_solids * sum(lost)
        wetting = wetting + p.water_per_solids * sum(lost)
        capacity = p.solids_heat_j_kg_k * self._dry(y) + p.water_heat_j_kg_k * y[1]
        return np.stack([warming / capacity, wetting, *(-loss for loss in lost), growth])

    def looseness(self, seconds: float) -> float:
        """Return the looseness: settling goes on without a pause, or by the hour if held."""
        p = self.p
        elapsed = HOUR_S * self.hours + (0.0 if self.held else seconds)
        left = np.exp(-elapsed / (DAY_S * p.settling_days))
        return float(p.settled_share + (self.loose_as_built - p.settled_share) * left)

    def _dry(self, y: FloatArray) -> FloatArray:
        return np.asarray(y[2] + y[3] + y[4] + self.ash)

    def _height(self, y: FloatArray, looseness: float) -> FloatArray:
        volume = self._dry(y).sum(axis=0, keepdims=True) * self.site.volume_per_dry * looseness
        return np.asarray(volume / self.faces.foot_m2)

    def _limit(self, y: FloatArray) -> FloatArray:
        p = self.p
        ratio = p.nitrogen_enough * self.nitrogen / (p.carbon_of_solids * (y[2] + y[3] + y[4]))
        return np.asarray(np.minimum(ratio, 1.0) ** p.nitrogen_exponent)

    def _warmth(self, t: FloatArray) -> FloatArray:
        """Cardinal temperatures as Rosso, Lobry and Flandrois (1993)."""
        p = self.p
        low, best, high = p.temperature_lowest_c, p.temperature_best_c, p.temperature_highest_c
        below = (best - low) * ((best - low) * (t - best) - (best - high) * (best + low - 2 * t))
        return np.where((t > low) & (t < high), (t - high) * (t - low) ** 2 / below, 0.0)

    def _slowing(
        self, y: FloatArray, space: FloatArray, looseness: float, limit: FloatArray
    ) -> FloatArray:
        """What slows decay besides temperature and oxygen."""
        p = self.p
        moisture = y[1] / (y[1] + self._dry(y))
        loose = np.clip((looseness - p.settled_share) / (1 - p.settled_share), 0, 1)
        clumped = p.settled_rate + (1 - p.settled_rate) * loose
        wet = 1 + np.exp(p.moisture_shift - p.moisture_slope * moisture)
        airy = 1 + np.exp(p.air_space_shift - p.air_space_slope * space)
        return np.asarray(clumped * limit / (wet * airy))

    def _demand(self, y: FloatArray, slowing: FloatArray) -> FloatArray:
        """Return the oxygen decay would use if there were plenty. [kg/s]"""
        p = self.p
        use = p.fast_rate_per_day * y[2] + p.medium_rate_per_day * y[3] + p.slow_rate_per_day * y[4]
        return np.asarray(p.oxygen_per_solids / DAY_S * self._warmth(y[0]) * slowing * y[5] * use)

    def _pores(self, y: FloatArray, looseness: float) -> Pores:
        """Return the pores of every cell and the moist air in them."""
        p, t, water, dry = self.p, y[0], y[1], self._dry(y)
        volume = self.faces.volume_per_height * self._height(y, looseness)
        filled = water / p.water_density_kg_m3 + (dry - self.ash) / p.matter_density_kg_m3
        filled = filled + self.ash / p.ash_density_kg_m3
        led = p.conductivity_per_dry_w_m2_kg * dry + p.conductivity_per_water_w_m2_kg * water
        carried = (water / dry) ** 2
        activity = carried / (carried + p.sorption_half**2)
        saturated, slope = saturation(t)
        vapour = activity * saturated
        dry_pressure = p.air_pressure_pa - vapour
        omega = p.vapour_to_air_mass * vapour / dry_pressure
        rise = p.vapour_to_air_mass * activity * slope * p.air_pressure_pa / dry_pressure**2
        content = p.latent_heat_j_kg + p.vapour_heat_j_kg_k * t
        return Pores(
            space=np.clip(1 - filled / volume, p.air_space_least, 0.95),
            conductivity=p.conductivity_bare_w_m_k + led / volume,
            vapour=vapour,
            dry_air=dry_pressure / (p.gas_constant_air_j_kg_k * (t + 273.15)),
            omega=omega,
            enthalpy=omega * content,
            enthalpy_rise=rise * content + omega * p.vapour_heat_j_kg_k,
        )

    def _air_at_rest(
        self, y: FloatArray, pores: Pores, slowing: FloatArray, looseness: float, o: Surroundings
    ) -> tuple[Exchange, FloatArray]:
        """Draught and oxygen that agree with each other: oxygen used up makes the gas heavier."""
        demand, height = self._demand(y, slowing), self._height(y, looseness)
        oxygen = np.full_like(demand, self.p.oxygen_outside)
        amount, last = np.ones((1, demand.shape[1])), np.zeros_like(demand)
        for turn in range(99):
            flows = self.faces.draught(y[0], pores, oxygen, height, o)
            exchange = self.faces.exchange(y[0], pores, flows, height, o)
            change = self.faces.steady_oxygen(exchange, demand, oxygen) - oxygen
            if np.abs(change).max() < OXYGEN_AGREES:
                break
            if turn > 0:  # how much of a change to take follows from how the last one did
                bend = change - last
                amount = -amount * (last * bend).sum(axis=0) / ((bend**2).sum(axis=0) + 1e-30)
                amount = np.clip(amount, 0.2, 10.0)
            oxygen = np.clip(oxygen + amount * change, 0.0, self.p.oxygen_outside)
            last = change
        return exchange, oxygen + change

    def _exchanged(
        self, t: FloatArray, pores: Pores, x: Exchange, o: Surroundings
    ) -> tuple[FloatArray, FloatArray]:
        """Heat [W], above that of each cell's own water, and water [kg/s] each cell receives.

        What a cover catches drips back with the outside air's temperature.
        """
        p, f = self.p, self.faces
        a, b, rim = f.a, f.b, f.rim
        water = x.air_out * pores.omega[a] - x.air_in * pores.omega[b]
        heat = x.air_out * pores.enthalpy[a] - x.air_in * pores.enthalpy[b]
        heat = heat + x.heat_out * t[a] - x.heat_in * t[b]
        out = x.rim_out * pores.omega[rim] - x.rim_in * o.omega
        warm = x.rim_out * pores.enthalpy[rim] - x.rim_in * o.enthalpy
        warm = warm + x.rim_led * (t[rim] - f.of_side(*o.surface_c))
        onward, back = np.maximum(x.rim_flow, 0.0), np.maximum(-x.rim_flow, 0.0)
        warm = warm + p.air_heat_j_kg_k * (onward * t[rim] - back * o.air_c)
        dripping = np.where((f.side == TOP) & (out > 0), self.site.vapour_returned * out, 0.0)
        warm = warm - p.water_heat_j_kg_k * o.air_c * dripping
        into = f.enters - f.leaves
        wetting = into @ water - f.at_rim @ (out - dripping)
        warming = into @ heat - f.at_rim @ warm
        return warming - p.water_heat_j_kg_k * t * wetting, wetting
