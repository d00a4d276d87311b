"""The hidden heap as it lives: run on, worked, read, and judged finished by its own pools.

Knows what finished means here: little degradable matter left, and no reheating when a copy is
turned and wetted. Knows nothing of who keeps it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from benchmarks.decisions.worlds import World
from heapwright.decisions.contents import contents
from heapwright.heap import layout
from heapwright.heap.probe import standing_temperature
from heapwright.heap.resume import Standing, built, go_on
from heapwright.heap.types import ActionKind, HeapAction

#: A finer grid than the adviser's.
RADII, HEIGHTS = 9, 16
#: Degradable matter left below which a heap is called finished, if it does not heat again.
FINISHED_SHARE = 0.20
#: A copy is turned, wetted to this and waited for; it has reheated when its hottest cell stands so
#: far above the mean air: up to 20 K is the self-heating test's "finished" (from memory).
REHEAT_MOISTURE, REHEAT_DAYS, REHEAT_K = 0.55, 4, 20.0
DEPTH_M = 0.45
READING_SD_C, DEPTH_SD_M = 2.0, 0.04
FELT_SD, WATER_SPREAD = 0.04, 0.2


@dataclass(slots=True)
class Truth:
    """One hidden heap at an hour."""

    world: World
    standing: Standing
    rng: np.random.Generator

    @classmethod
    def of(cls, world: World) -> Truth:
        """Build it; whoever keeps it meets the same errors of reading and watering."""
        standing = built(
            world.shape,
            [world.true_fill],
            world.true_weather,
            world.true_numbers,
            radii=RADII,
            heights=HEIGHTS,
        )
        return cls(world, standing, np.random.default_rng([5, world.seed]))

    @property
    def hour(self) -> int:
        """Hours since it was built."""
        return self.standing.hour

    def live(self, until: int, actions: Sequence[HeapAction]) -> None:
        """Run on, with what is done at the present hour first."""
        _, self.standing = go_on(
            self.standing,
            self.world.true_weather,
            until,
            actions,
            probe_depth_m=DEPTH_M,
            threads=1,
        )

    def read_c(self) -> float:
        """Return a reading of the core, with its error. [°C]"""
        depth = DEPTH_M + DEPTH_SD_M * float(self.rng.standard_normal())
        height = float((self.standing.state.volume_m3 / self.standing.state.foot_m2)[0])
        depth = min(max(depth, 0.05), 0.9 * height)
        error = READING_SD_C * float(self.rng.standard_normal())
        return float(standing_temperature(self.standing, depth)[0]) + error

    def felt_moisture(self) -> float:
        """Return the moisture that a hand would tell, with its error. [0-1]"""
        error = FELT_SD * float(self.rng.standard_normal())
        return float(np.clip(contents(self.standing).moisture[0] + error, 0.05, 0.9))

    def poured(self, said_kg: float) -> float:
        """Return the water really given when so much is said. [kg]"""
        return said_kg * float(np.exp(WATER_SPREAD * self.rng.standard_normal()))

    def left(self) -> float:
        """Return the degradable matter left, share of what was built in."""
        return float(contents(self.standing).left[0])

    def hot_share(self) -> float:
        """Return the share of the dry matter that has met three days at 55 °C."""
        state = self.standing.state
        dry = state.dry_kg
        return float((state.cells[:, layout.MET_SHARE] * dry).sum() / dry.sum())

    def is_finished(self) -> bool:
        """Whether little is left and a turned, wetted copy stays cool."""
        return self.left() <= FINISHED_SHARE and not self._reheats()

    def _reheats(self) -> bool:
        heap = contents(self.standing)
        water, dry = float(heap.water_kg[0]), float(heap.dry_kg[0])
        wished = dry * REHEAT_MOISTURE / (1.0 - REHEAT_MOISTURE)
        turn = HeapAction(self.hour, ActionKind.STIR, water_kg=max(0.0, wished - water))
        until = self.hour + 24 * REHEAT_DAYS
        weather = self.world.true_weather
        _, copy = go_on(self.standing, weather, until, [turn], probe_depth_m=DEPTH_M, threads=1)
        air = float(np.mean(weather.temperature_c[self.hour : until]))
        return float(copy.state.cells[0, layout.TEMPERATURE].max()) - air > REHEAT_K
