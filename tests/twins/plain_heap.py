"""A plain NumPy twin of the compiled heap kernel, written anew from the equations.

Arrays of shape (radii, heights), dense solves, one step an hour and no shorter ones: slow and easy
to read. Used only in tests, as the second route to the same answer.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from heapwright.heap import layout as field
from heapwright.heap.state import HeapState

HOUR = 3600.0
DAY = 86400.0


class PlainHeap:
    """One heap as built by `build_state`, stepped hour by hour in plain NumPy."""

    def __init__(self, state: HeapState) -> None:
        self.p: Any = state.parameters.view(np.recarray)[0]
        self.site: Any = state.sites.view(np.recarray)[0].copy()
        cells = state.cells[0].copy()
        self.t = cells[field.TEMPERATURE]
        self.water = cells[field.WATER]
        self.fast, self.medium = cells[field.FAST], cells[field.MEDIUM]
        self.lasting, self.ash = cells[field.SLOW], cells[field.ASH]
        self.nitrogen, self.build_up = cells[field.NITROGEN], cells[field.BUILD_UP]
        self.oxygen = cells[field.OXYGEN]
        self.limit = np.ones_like(self.t)
        self.radii, self.heights = self.t.shape
        # Thinner rings outwards, thinner levels at foot and top; middle to middle for every face.
        share, level = np.linspace(0, 1, self.radii + 1), np.linspace(0, 1, self.heights + 1)
        edge = self.site.radius_m * share * (1.6 - 0.6 * share)
        self.rings = np.pi * np.diff(edge**2)
        self.outermost = edge[-1] - edge[-2]
        middle = (edge[1:] + edge[:-1]) / 2
        self.round = 2 * np.pi * edge[1:-1] / np.diff(middle)
        self.tall = np.diff(level - 0.3 * np.sin(2 * np.pi * level) / (2 * np.pi))
        self.ammonium = cells[field.AMMONIUM]
        self.ammonia_lost = 0.0

    @property
    def dry(self) -> np.ndarray:
        return self.fast + self.medium + self.lasting + self.ash

    def volume(self) -> float:
        return float(self.dry.sum() * self.site.volume_per_dry * self.site.looseness)

    def saturation(self, t: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Return saturation pressure and slope from the same polynomial, by numpy's own means."""
        root = np.polynomial.Polynomial(
            [4.97220814, 9.0299474, 4.48776705, -0.361891133, -0.422311936, 0.140154026]
        )
        s = np.minimum(t, 95.0) / 100
        return root(s) ** 4, 0.04 * root(s) ** 3 * root.deriv()(s)

    def hour(self, h: int, weather: np.ndarray) -> None:
        """Advance by one hour with this row of the weather table."""
        p = self.p
        if h % 24 == 0:
            solids = self.fast + self.medium + self.lasting
            nitrogen = self.nitrogen + self.ammonium
            ratio = p.nitrogen_enough * nitrogen / (p.carbon_of_solids * solids)
            self.limit = np.minimum(ratio, 1.0) ** p.nitrogen_exponent
        self.dz = self.volume() / self.rings.sum() * self.tall
        self.surroundings(weather)
        self.contents()
        if h % 2 == 0:
            self.draught()
        self.exchange()
        if h % 3 == 0:
            self.solids_before = self.fast + self.medium + self.lasting
        self.step()
        if h % 3 == 2:
            self.set_nitrogen_free(self.solids_before, 3 * HOUR)
        self.site.looseness -= (1 - np.exp(-1 / (24 * p.settling_days))) * (
            self.site.looseness - p.settled_share
        )
        self.drain(weather)

    def surroundings(self, weather: np.ndarray) -> None:
        p = self.p
        air, humidity, wind, _, sun, self.soil = weather
        vapour = humidity * float(self.saturation(np.array(air))[0])
        kelvin = air + 273.15
        self.air = air
        self.air_omega = p.vapour_to_air_mass * vapour / (p.air_pressure_pa - vapour)
        self.air_heat = self.air_omega * (p.latent_heat_j_kg + p.vapour_heat_j_kg_k * air)
        self.air_density = (p.air_pressure_pa - vapour) / (p.gas_constant_air_j_kg_k * kelvin)
        self.air_density += vapour / (p.gas_constant_vapour_j_kg_k * kelvin)
        at_bin = wind * p.wind_shelter
        self.film = p.film_still_w_m2_k + p.film_per_wind_j_m3_k * at_bin
        taken = p.sun_absorptance * sun * (1 - self.site.shade)
        self.side_c = air + p.sun_side_share * taken / self.film
        self.top_c = air + (taken - p.sky_loss_w_m2) / self.film
        self.suction = min(
            0.5 * self.air_density * p.wind_suction * at_bin**2, p.wind_suction_most_pa
        )

    def contents(self) -> None:
        p = self.p
        volume = self.rings[:, None] * self.dz[None, :]
        solids = self.fast + self.medium + self.lasting
        filled = self.water / p.water_density_kg_m3 + solids / p.matter_density_kg_m3
        filled = filled + self.ash / p.ash_density_kg_m3
        self.space = np.clip(1 - filled / volume, p.air_space_least, 0.95)
        self.k = (
            p.conductivity_bare_w_m_k
            + (
                p.conductivity_per_dry_w_m2_kg * self.dry
                + p.conductivity_per_water_w_m2_kg * self.water
            )
            / volume
        )
        moisture = self.water / (self.water + self.dry)
        loose = (self.site.looseness - p.settled_share) / (1 - p.settled_share)
        self.slow = (
            (p.settled_rate + (1 - p.settled_rate) * np.clip(loose, 0, 1))
            / (1 + np.exp(p.moisture_shift - p.moisture_slope * moisture))
            / (1 + np.exp(p.air_space_shift - p.air_space_slope * self.space))
            * self.limit
        )
        carried = (self.water / self.dry) ** 2
        self.activity = carried / (carried + p.sorption_half**2)

    def draught(self) -> None:
        """Solve the pressure of all cells as one dense system; keep flows by face."""
        p, n, m = self.p, self.radii, self.heights
        vapour = self.activity * self.saturation(self.t)[0]
        kelvin = self.t + 273.15
        self.dry_air = (p.air_pressure_pa - vapour) / (p.gas_constant_air_j_kg_k * kelvin)
        weight = 1 + p.exchange_gas_weight * (p.oxygen_outside - self.oxygen)
        wet = vapour / (p.gas_constant_vapour_j_kg_k * kelvin)
        lift = p.gravity_m_s2 * (self.air_density - self.dry_air * weight - wet)
        freely = p.permeability_m2 * (self.space / p.permeability_air_space) ** 3
        freely = 1 / (1 / freely + 1 / p.permeability_most_m2)
        mobility = self.dry_air * freely / p.air_viscosity_pa_s
        index = np.arange(n * m).reshape(n, m)
        matrix, right = np.zeros((n * m, n * m)), np.zeros(n * m)
        faces = []
        for i in range(n):
            for j in range(m):
                if i + 1 < n:
                    size = self.round[i] * self.dz[j]  # area over distance
                    faces.append((index[i, j], index[i + 1, j], size, 0.0))
                if j + 1 < m:
                    push = 0.5 * (self.dz[j] * lift[i, j] + self.dz[j + 1] * lift[i, j + 1])
                    apart = 0.5 * (self.dz[j] + self.dz[j + 1])
                    faces.append((index[i, j], index[i, j + 1], self.rings[i] / apart, push))
        flat = mobility.ravel()
        found = []
        for a, b, size, push in faces:
            g = size * 2 * flat[a] * flat[b] / (flat[a] + flat[b])
            matrix[[a, b], [a, b]] += g
            matrix[[a, b], [b, a]] -= g
            right[a] -= g * push
            right[b] += g * push
            found.append((a, b, g, push))
        side = 2 * np.pi * self.site.radius_m * self.dz * self.site.wall_factor
        half = 0.5 * self.dz[0]

        def through(area: float, depth: float, openness: float) -> float:
            return area / (depth + p.skin_m * (1 / openness - 1))

        gap, top, foot = self.site.wall_openness, self.site.cover_openness, self.site.floor_openness
        rims = [
            (index[n - 1, j], through(side[j], 0.5 * self.outermost, gap), 0.0, "side")
            for j in range(m)
        ]
        for i in range(n):
            push = half * lift[i, m - 1] + self.suction
            rims.append((index[i, m - 1], through(self.rings[i], half, top), push, "top"))
            rims.append(
                (index[i, 0], through(self.rings[i], half, foot), -half * lift[i, 0], "foot")
            )
        for c, size, push, _ in rims:
            matrix[c, c] += size * flat[c]
            right[c] -= size * flat[c] * push
        pressure = np.linalg.solve(matrix, right)
        self.inner_flow = [
            (a, b, g * (pressure[a] - pressure[b] + push)) for a, b, g, push in found
        ]
        self.rim_flow = [
            (c, size * flat[c] * (pressure[c] + push), kind) for c, size, push, kind in rims
        ]

    def exchange(self) -> None:
        """Conduction and diffusion of each face, in the order of the flows."""
        p = self.p
        d = p.diffusivity_vapour_m2_s * (1 + p.diffusivity_rise_per_k * (self.t - 20))
        spread = (self.space**2 * self.dry_air * d).ravel()
        k = self.k.ravel()
        ratio = p.diffusivity_oxygen_m2_s / p.diffusivity_vapour_m2_s
        rises = self.moist_air()[3]
        self.inner = []
        for a, b, flow in self.inner_flow:
            i = a // self.heights
            j = a % self.heights
            apart = 0.5 * (self.dz[j] + self.dz[(j + 1) % self.heights])
            size = self.rings[i] / apart if b == a + 1 else self.round[i] * self.dz[j]
            led, d = (2 * v[a] * v[b] / (v[a] + v[b]) * size for v in (k, spread))
            # Upwind differences smear by half the flow; that much is taken off again.
            smeared = 0.5 * abs(flow)
            breath = max(ratio * d - smeared, 0.0)
            over, d = max(smeared - d, 0.0), max(d - smeared, 0.0)
            rise = 0.5 * (rises[a] + rises[b])
            led = max(led - over * rise - smeared * p.air_heat_j_kg_k, 0.0)
            self.inner.append((a, b, flow, led, d, breath))
        side = 2 * np.pi * self.site.radius_m * self.dz * self.site.wall_factor
        self.rim = []
        for c, flow, kind in self.rim_flow:
            area = side[c % self.heights] if kind == "side" else self.rings[c // self.heights]
            half, resistance, openness, surface = {
                "side": (
                    0.5 * self.outermost,
                    self.site.wall_resistance + 1 / self.film,
                    self.site.wall_openness,
                    self.side_c,
                ),
                "top": (
                    0.5 * self.dz[-1],
                    self.site.cover_resistance + 1 / self.film,
                    self.site.cover_openness,
                    self.top_c,
                ),
                "foot": (
                    0.5 * self.dz[0],
                    self.site.ground_resistance,
                    self.site.floor_openness,
                    self.soil,
                ),
            }[kind]
            led = area / (half / k[c] + resistance)
            self.rim.append((c, flow, led, spread[c] * area * openness / p.skin_m, surface, kind))

    def breathe(self, demand: np.ndarray) -> None:
        """Sweep oxygen from the foot's rim inwards and back, as often as the kernel does."""
        p, m = self.p, self.heights
        ratio = p.diffusivity_oxygen_m2_s / p.diffusivity_vapour_m2_s
        enters: list[list[tuple[int, float]]] = [[] for _ in range(self.t.size)]
        for a, b, flow, _, _, d in self.inner:
            enters[b].append((a, max(flow, 0.0) + d))
            enters[a].append((b, max(-flow, 0.0) + d))
        for c, flow, _, d, _, _ in self.rim:
            enters[c].append((-1, max(-flow, 0.0) + ratio * d))
        y = self.oxygen.ravel()
        order = sorted(range(y.size), key=lambda c: self.radii - 1 - c // m + c % m)
        for sweep in range(2 * (self.radii + m)):
            before = y.copy()
            for c in order if sweep % 2 == 0 else order[::-1]:
                reach = sum(g for _, g in enters[c])
                brought = sum(g * (y[o] if o >= 0 else p.oxygen_outside) for o, g in enters[c])
                use = demand.ravel()[c] / p.oxygen_to_air_mass
                roots = np.roots(
                    [reach, reach * p.oxygen_half - brought + use, -brought * p.oxygen_half]
                )
                y[c] = min(float(roots.real.max()), p.oxygen_outside)
            if np.all(p.oxygen_half * np.abs(y - before) <= 1e-3 * (p.oxygen_half + y) ** 2):
                break

    def step(self) -> None:
        """One hour's implicit step: radial then vertical lines, each as a dense solve."""
        p = self.p
        low, best, high = p.temperature_lowest_c, p.temperature_best_c, p.temperature_highest_c
        t = np.clip(self.t, low + 1e-6, high - 1e-6)
        inside = t == self.t
        below = (best - low) * ((best - low) * (t - best) - (best - high) * (best + low - 2 * t))
        factor = inside * (t - high) * (t - low) ** 2 / below
        rise = inside * (
            1 / (t - high)
            + 2 / (t - low)
            - (best - low) * ((best - low) + 2 * (best - high)) / below
        )
        rate = factor * self.slow
        fast_k, medium_k = p.fast_rate_per_day / DAY, p.medium_rate_per_day / DAY
        slow_k = p.slow_rate_per_day / DAY
        use = fast_k * self.fast + medium_k * self.medium + slow_k * self.lasting
        self.breathe(p.oxygen_per_solids * rate * self.build_up * use)
        air = self.oxygen / (p.oxygen_half + self.oxygen)
        grown = 0.5 * np.log(10) / p.build_up_tenfold_days * HOUR / DAY * rate * air
        done = rate * air * HOUR * self.build_up * (1 + grown) / (1 + grown * self.build_up)
        lost = [
            pool * -np.expm1(-done * k)
            for pool, k in ((self.fast, fast_k), (self.medium, medium_k), (self.lasting, slow_k))
        ]
        per_kg = p.heat_per_oxygen_j_kg * p.oxygen_per_solids
        capacity = p.solids_heat_j_kg_k * self.dry + p.water_heat_j_kg_k * self.water
        power = per_kg * sum(lost) / HOUR
        rise = np.where(
            rise > 0, np.minimum(0.5 * rise, 0.4 * capacity / HOUR / (power + 1e-9)), rise
        )
        change, gain, vapour_out = self.changes(capacity, power, rise)
        scale = 1 + rise * change
        new = [
            np.minimum(share * np.maximum(scale, 0), pool)
            for share, pool in zip(lost, (self.fast, self.medium, self.lasting), strict=True)
        ]
        total = sum(new)
        extra = per_kg * (total - sum(lost) * scale)
        water = self.water + gain + p.water_per_solids * total
        after = capacity - p.solids_heat_j_kg_k * total + p.water_heat_j_kg_k * (water - self.water)
        growth = np.exp(
            np.log(10)
            / p.build_up_tenfold_days
            * HOUR
            / DAY
            * rate
            * self.oxygen
            / (p.oxygen_half + self.oxygen)
        )
        self.build_up = self.build_up * growth / (1 - self.build_up + self.build_up * growth)
        self.t = self.t + (capacity * change + extra) / after
        self.water, self.fast, self.medium = water, self.fast - new[0], self.medium - new[1]
        self.lasting = self.lasting - new[2]
        self.evaporated = vapour_out

    def moist_air(self) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        """Return humidity ratio and heat of each cell's air, each with its slope, flat."""
        p, t = self.p, self.t.ravel()
        saturated, slope = (value.ravel() for value in self.saturation(self.t))
        activity = self.activity.ravel()
        vapour = activity * saturated
        dry = p.air_pressure_pa - vapour
        omega = p.vapour_to_air_mass * vapour / dry
        rise = p.vapour_to_air_mass * activity * slope * p.air_pressure_pa / dry**2
        content = p.latent_heat_j_kg + p.vapour_heat_j_kg_k * t
        return omega, rise, omega * content, rise * content + omega * p.vapour_heat_j_kg_k

    def changes(
        self, capacity: np.ndarray, power: np.ndarray, rise: np.ndarray
    ) -> tuple[np.ndarray, np.ndarray, float]:
        """Return each cell's temperature change and water gained, and the vapour lost."""
        p, t = self.p, self.t.ravel()
        omega, d_omega, heat, d_heat = self.moist_air()
        own, air = p.water_heat_j_kg_k, p.air_heat_j_kg_k
        n = t.size
        net, radial, upright = power.ravel().copy(), np.zeros((n, n)), np.zeros((n, n))
        moves, leaks = [], []
        for a, b, flow, led, d, _ in self.inner:
            out, back = max(flow, 0.0), max(-flow, 0.0)
            matrix = upright if b == a + 1 else radial
            water = (out + d) * omega[a] - (back + d) * omega[b]
            warm = (out + d) * heat[a] - (back + d) * heat[b]
            warm += (air * out + led) * t[a] - (air * back + led) * t[b]
            for c, sign in ((a, 1.0), (b, -1.0)):
                net[c] -= sign * (warm - own * t[c] * water)
                matrix[c, a] += sign * (
                    (out + d) * (d_heat[a] - own * t[c] * d_omega[a]) + air * out + led
                )
                matrix[c, b] -= sign * (
                    (back + d) * (d_heat[b] - own * t[c] * d_omega[b]) + air * back + led
                )
            moves.append((a, b, water, (out + d) * d_omega[a], (back + d) * d_omega[b], b == a + 1))
        for c, flow, led, d, surface, kind in self.rim:
            out, back = max(flow, 0.0), max(-flow, 0.0)
            matrix = radial if kind == "side" else upright
            water = (out + d) * omega[c] - (back + d) * self.air_omega
            drip = self.site.vapour_returned if kind == "top" and water > 0 else 0.0
            carried = own * (drip * self.air + (1 - drip) * t[c])
            net[c] -= (
                (out + d) * heat[c]
                - (back + d) * self.air_heat
                + air * out * t[c]
                - air * back * self.air
                + led * (t[c] - surface)
                - carried * water
            )
            matrix[c, c] += (out + d) * (d_heat[c] - carried * d_omega[c]) + air * out + led
            leaks.append((c, water, (out + d) * d_omega[c], drip, kind == "side"))
        storage = np.diag(capacity.ravel() / HOUR)
        first = np.linalg.solve(storage + radial, net)
        second = np.linalg.solve(
            storage + upright - np.diag((power * rise).ravel()), storage @ first
        )
        gain, lost = np.zeros(n), 0.0
        for a, b, water, from_a, from_b, is_upright in moves:
            change = second if is_upright else first
            moved = HOUR * (water + from_a * change[a] - from_b * change[b])
            gain[a] -= moved
            gain[b] += moved
        for c, water, per_k, drip, is_side in leaks:
            moved = HOUR * (1 - drip) * (water + per_k * (first if is_side else second)[c])
            gain[c] -= moved
            lost += moved
        return second.reshape(self.t.shape), gain.reshape(self.t.shape), lost

    def set_nitrogen_free(self, before: np.ndarray, seconds: float) -> None:
        """Dissolve what microbes do not build in, then let ammonia leave with the air."""
        p = self.p
        decayed = before - (self.fast + self.medium + self.lasting)
        built_in = p.carbon_of_solids * p.microbe_carbon_share / p.microbe_c_to_n
        spare = decayed * (self.nitrogen / before - built_in)
        spare = np.where(spare < -self.ammonium, -self.ammonium, spare)
        self.nitrogen = self.nitrogen - spare
        dissolved = (self.ammonium + spare).ravel()
        kelvin = self.t.ravel() + 273.15
        acid = p.ammonia_strength + p.ammonia_strength_k / kelvin
        free = 1 / (1 + 10 ** (acid - p.ammonia_ph))
        henry = p.ammonia_gas_share * np.exp(p.ammonia_rise_k * (1 / 298.15 - 1 / kelvin))
        # Of this much dissolved nitrogen per air leaving, by the air each face carries away.
        per_air = free * henry * p.water_density_kg_m3 / self.water.ravel() / self.dry_air.ravel()
        leaving = np.zeros(dissolved.size)
        ways = []
        for a, b, flow, _, d, _ in self.inner:
            ways += [(a, b, max(flow, 0.0) + d), (b, a, max(-flow, 0.0) + d)]
        ways += [(c, None, max(flow, 0.0) + d) for c, flow, _, d, _, _ in self.rim]
        for c, _, air in ways:
            leaving[c] += air
        rest = 1 / (1 + seconds * per_air * leaving)
        after = dissolved * rest
        for c, to, air in ways:
            gone = dissolved[c] * rest[c] * seconds * per_air[c] * air
            if to is None:
                self.ammonia_lost += gone
            else:
                after[to] += gone
        self.ammonium = after.reshape(self.t.shape)

    def drain(self, weather: np.ndarray) -> None:
        """Rain on top, then surplus water from cell to cell downwards."""
        p = self.p
        height = self.volume() / self.rings.sum()
        room = np.outer(self.rings, self.tall) * height * (1 - p.air_space_least)
        rain = weather[field.RAIN] * (1 - self.site.rain_kept)
        slow = 1 - np.exp(-1 / p.drain_hours)
        for i in range(self.radii):
            sinking, warm = rain * self.rings[i], max(weather[field.AIR_C], 0.0)
            carried = 0.0
            for j in range(self.heights - 1, -1, -1):
                solids = self.fast[i, j] + self.medium[i, j] + self.lasting[i, j]
                have = p.solids_heat_j_kg_k * (solids + self.ash[i, j])
                have += p.water_heat_j_kg_k * self.water[i, j]
                come = p.water_heat_j_kg_k * sinking
                self.t[i, j] = (have * self.t[i, j] + come * warm) / (have + come)
                self.water[i, j] += sinking
                matter = solids / p.matter_density_kg_m3 + self.ash[i, j] / p.ash_density_kg_m3
                most = p.water_density_kg_m3 * (room[i, j] - matter)
                held = p.holding_kg_kg * (solids + self.ash[i, j])
                over = self.water[i, j] - held
                sinking = max(slow * max(over, 0.0), self.water[i, j] - max(most, 0.0), 0.0)
                self.ammonium[i, j] += carried
                carried = self.ammonium[i, j] * sinking / self.water[i, j]
                self.ammonium[i, j] -= carried
                self.water[i, j] -= sinking
                warm = self.t[i, j]
