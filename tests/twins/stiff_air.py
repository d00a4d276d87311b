"""The air of a heap as a steady state of any moment: its grid of faces, draught, exchange, oxygen.

Written anew from the equations for `stiff_heap`, by dense solves for many states at once: arrays
are (cells or faces, columns), one column for each state. Knows nothing of time.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from heapwright.heap import layout
from heapwright.heap.types import FloatArray

SIDE, TOP, FOOT = range(3)


@dataclass
class Surroundings:
    """An hour's weather at the bin; `surface_c` of side, top and foot."""

    air_c: float
    omega: float
    enthalpy: float
    density: float
    film: float
    suction: float
    surface_c: tuple[float, float, float]


@dataclass
class Pores:
    """What the pores of every cell hold and let through, shape (cells, columns)."""

    space: FloatArray
    conductivity: FloatArray
    vapour: FloatArray
    dry_air: FloatArray
    omega: FloatArray
    enthalpy: FloatArray
    enthalpy_rise: FloatArray


@dataclass
class Exchange:
    """What crosses per unit: inner faces out and in, outside faces out and in."""

    air_out: FloatArray
    air_in: FloatArray
    heat_out: FloatArray
    heat_in: FloatArray
    breath_out: FloatArray
    breath_in: FloatArray
    rim_out: FloatArray
    rim_in: FloatArray
    rim_breath: FloatArray
    rim_flow: FloatArray
    rim_led: FloatArray


Flows = tuple[FloatArray, FloatArray]


def saturation(temperature_c: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return the kernel's saturation pressure and its slope. [Pa, Pa/K]"""
    root = np.polynomial.Polynomial(
        [4.97220814, 9.0299474, 4.48776705, -0.361891133, -0.422311936, 0.140154026]
    )
    s = np.minimum(temperature_c, 95.0) / 100
    return np.asarray(root(s) ** 4), np.asarray(0.04 * root(s) ** 3 * root.deriv()(s))


def surroundings(p: Any, site: Any, hour: FloatArray) -> Surroundings:
    """Return what this row of the weather table means at the bin."""
    air, humidity, wind, _, sun, soil = (float(value) for value in hour)
    vapour = humidity * float(saturation(np.array(air))[0])
    omega = p.vapour_to_air_mass * vapour / (p.air_pressure_pa - vapour)
    density = (p.air_pressure_pa - vapour) / p.gas_constant_air_j_kg_k
    density = (density + vapour / p.gas_constant_vapour_j_kg_k) / (air + 273.15)
    wind *= p.wind_shelter
    film = p.film_still_w_m2_k + p.film_per_wind_j_m3_k * wind
    sun *= p.sun_absorptance * (1 - site.shade)
    return Surroundings(
        air_c=air,
        omega=omega,
        enthalpy=omega * (p.latent_heat_j_kg + p.vapour_heat_j_kg_k * air),
        density=density,
        film=film,
        suction=min(0.5 * density * p.wind_suction * wind**2, p.wind_suction_most_pa),
        surface_c=(air + p.sun_side_share * sun / film, air + (sun - p.sky_loss_w_m2) / film, soil),
    )


class Faces:
    """The faces of a bin's cells, and what crosses them."""

    def __init__(self, p: Any, site: Any, radii: int, heights: int) -> None:
        self.p, self.site, self.cells = p, site, radii * heights
        edge = float(site.radius_m) * layout.ring_edges(radii)
        level = layout.level_edges(heights)
        ring, tall = np.pi * np.diff(edge**2), np.diff(level)
        index = np.arange(self.cells).reshape(radii, heights)
        round_faces = (2 * np.pi * edge[1:-1] / np.diff(layout.middles(edge)))[:, None] * tall
        flat_faces = ring[:, None] / np.diff(layout.middles(level))
        self.a = np.concatenate([index[:-1].ravel(), index[:, :-1].ravel()])
        self.b = np.concatenate([index[1:].ravel(), index[:, 1:].ravel()])
        self.upright = (np.arange(self.a.size) >= round_faces.size)[:, None]
        self.shape = np.concatenate([round_faces.ravel(), flat_faces.ravel()])[:, None]
        self.rim = np.concatenate([index[-1], index[:, -1], index[:, 0]])
        self.side = np.repeat([SIDE, TOP, FOOT], [heights, radii, radii])[:, None]
        around = 2 * np.pi * float(site.radius_m) * site.wall_factor
        self.rim_area = np.concatenate([around * tall, ring, ring])[:, None]
        self.rim_depth = self.of_side(0.5 * (edge[-1] - edge[-2]), 0.5 * tall[-1], 0.5 * tall[0])
        self.gaps = self.of_side(site.wall_openness, site.cover_openness, site.floor_openness)
        self.foot_m2, self.tall = float(ring.sum()), np.tile(tall, radii)[:, None]
        self.volume_per_height = np.outer(ring, tall).reshape(-1, 1)
        # Sums over the faces of each cell, as matrices.
        self.leaves, self.enters = np.zeros((2, self.cells, self.a.size))
        self.leaves[self.a, np.arange(self.a.size)] = 1.0
        self.enters[self.b, np.arange(self.b.size)] = 1.0
        self.at_rim = np.zeros((self.cells, self.rim.size))
        self.at_rim[self.rim, np.arange(self.rim.size)] = 1.0

    def of_side(self, side: float, top: float, foot: float) -> FloatArray:
        """Give every outside face its side's value, shape (faces, 1)."""
        return np.array([side, top, foot])[self.side]

    def sizes(self, height: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Area over distance of inner faces; area, and depth to the middle, of outside ones."""
        flat = self.side != SIDE
        return (
            self.shape * np.where(self.upright, 1 / height, height),
            self.rim_area * np.where(flat, 1.0, height),
            self.rim_depth * np.where(flat, height, 1.0),
        )

    def draught(
        self, t: FloatArray, pores: Pores, oxygen: FloatArray, height: FloatArray, o: Surroundings
    ) -> Flows:
        """Dry air through inner and outside faces: no cell gains or loses any. [kg/s]"""
        p, a, b, rim = self.p, self.a, self.b, self.rim
        gas = pores.dry_air * (1 + p.exchange_gas_weight * (p.oxygen_outside - oxygen))
        gas = gas + pores.vapour / (p.gas_constant_vapour_j_kg_k * (t + 273.15))
        weight = p.gravity_m_s2 * (o.density - gas) * height
        permeability = p.permeability_m2 * (pores.space / p.permeability_air_space) ** 3
        permeability = 1 / (1 / permeability + 1 / p.permeability_most_m2)
        mobility = pores.dry_air * permeability / p.air_viscosity_pa_s
        size, area, depth = self.sizes(height)
        eases = size * 2 * mobility[a] * mobility[b] / (mobility[a] + mobility[b])
        push = 0.5 * (self.tall[a] * weight[a] + self.tall[b] * weight[b]) * self.upright
        rim_eases = area * mobility[rim] / (depth + p.skin_m * (1 / self.gaps - 1))
        rim_push = self.rim_depth * weight[rim] * self.of_side(0.0, 1.0, -1.0)
        rim_push = rim_push + self.of_side(0.0, o.suction, 0.0)
        faces = self.leaves - self.enters
        matrix = (faces * eases.T[:, None, :]) @ faces.T
        matrix = matrix + (self.at_rim * rim_eases.T[:, None, :]) @ self.at_rim.T
        right = -(faces @ (eases * push)) - self.at_rim @ (rim_eases * rim_push)
        pressure = np.linalg.solve(matrix, right.T[:, :, None])[:, :, 0].T
        flow = eases * (pressure[a] - pressure[b] + push)
        return flow, rim_eases * (pressure[rim] + rim_push)

    def exchange(
        self, t: FloatArray, pores: Pores, flows: Flows, height: FloatArray, o: Surroundings
    ) -> Exchange:
        """Conduction, diffusion and draught of every face, less what upwind differences smear."""
        p, site, a, b, rim = self.p, self.site, self.a, self.b, self.rim
        k, rise = pores.conductivity, pores.enthalpy_rise
        spread = pores.space**2 * pores.dry_air * p.diffusivity_vapour_m2_s
        spread = spread * (1 + p.diffusivity_rise_per_k * (t - 20))
        ratio = p.diffusivity_oxygen_m2_s / p.diffusivity_vapour_m2_s
        size, area, depth = self.sizes(height)
        led, vapour = (2 * v[a] * v[b] / (v[a] + v[b]) * size for v in (k, spread))
        flow, rim_flow = flows
        onward, back, smeared = np.maximum(flow, 0.0), np.maximum(-flow, 0.0), 0.5 * np.abs(flow)
        over = np.maximum(smeared - vapour, 0.0) * 0.5 * (rise[a] + rise[b])
        led = np.maximum(led - over - smeared * p.air_heat_j_kg_k, 0.0)
        breath, vapour = (np.maximum(v - smeared, 0.0) for v in (ratio * vapour, vapour))
        film = 1 / o.film
        resists = self.of_side(
            site.wall_resistance + film, site.cover_resistance + film, site.ground_resistance
        )
        rim_vapour = spread[rim] * area * self.gaps / p.skin_m
        rim_back = np.maximum(-rim_flow, 0.0)
        return Exchange(
            air_out=onward + vapour,
            air_in=back + vapour,
            heat_out=p.air_heat_j_kg_k * onward + led,
            heat_in=p.air_heat_j_kg_k * back + led,
            breath_out=onward + breath,
            breath_in=back + breath,
            rim_out=np.maximum(rim_flow, 0.0) + rim_vapour,
            rim_in=rim_back + rim_vapour,
            rim_breath=rim_back + ratio * rim_vapour,
            rim_flow=rim_flow,
            rim_led=area / (depth / k[rim] + resists),
        )

    def steady_oxygen(
        self, x: Exchange, demand: FloatArray, start: FloatArray | float = 0.0
    ) -> FloatArray:
        """Oxygen at which supply meets use in every cell, by Newton's method.

        Use grows ever more slowly with oxygen: after its first step the search comes from below.
        """
        p, spot = self.p, np.arange(self.cells)
        a, b = self.leaves, self.enters
        from_outside = self.at_rim @ x.rim_breath
        reach = b @ x.breath_out + a @ x.breath_in + from_outside
        between = (b * x.breath_out.T[:, None, :]) @ a.T + (a * x.breath_in.T[:, None, :]) @ b.T
        between = -between
        between[:, spot, spot] += reach.T
        supply, half = (from_outside * p.oxygen_outside).T, p.oxygen_half
        use = (demand / p.oxygen_to_air_mass).T
        found = np.zeros_like(supply + use) + np.asarray(start).T
        for _ in range(60):
            rest = (between @ found[:, :, None])[:, :, 0] - supply + use * found / (half + found)
            slopes = np.repeat(between, found.shape[0] // between.shape[0], axis=0)
            slopes[:, spot, spot] += use * half / (half + found) ** 2
            step = np.linalg.solve(slopes, rest[:, :, None])[:, :, 0]
            found = np.maximum(found - step, 0.0)
            if np.abs(step).max() < 1e-12:
                break
        return np.asarray(found.T)
