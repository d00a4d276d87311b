"""Compiles the heap kernel once, so that nobody waits for it at the bin.

Run as `python -m heapwright.heap.warm` after installing. Runs a small heap for a day; the compiled
kernel stays in numba's cache on disk.
"""

from __future__ import annotations

import subprocess
import sys
from datetime import UTC, datetime

import numpy as np

from heapwright.heap.simulate import FINE_GRID, simulate
from heapwright.heap.types import BinShape, Fill
from heapwright.weather.series import WeatherSeries

_HOURS = 24


def warm(*, fine: bool = False) -> None:
    """Run a small invented heap for a day, compiling whatever is not compiled yet.

    The usual grid and all others are compiled apart.
    """
    level = np.ones(_HOURS)
    weather = WeatherSeries(
        start=datetime(2000, 1, 1, tzinfo=UTC),
        temperature_c=20.0 * level,
        relative_humidity=0.5 * level,
        wind_m_s=0.0 * level,
        rain_mm=0.0 * level,
        sun_w_m2=0.0 * level,
        source="invented",
    )
    fill = Fill(
        wet_mass_kg=300.0,
        moisture=0.6,
        volume_m3=0.75,
        ash_dry=0.12,
        fast_share=0.2,
        medium_share=0.35,
        c_to_n=30.0,
    )
    shape = BinShape(width_m=0.9, depth_m=0.9, height_m=0.9)
    if fine:
        simulate(shape, fill, weather, **FINE_GRID)
    else:
        simulate(shape, fill, weather)


def warm_both() -> None:
    """Compile for the usual grid here and for all others in a second process, side by side."""
    with subprocess.Popen([sys.executable, "-m", "heapwright.heap.warm", "fine"]) as other:
        warm()
        if other.wait() != 0:
            raise SystemExit("The heap model could not be compiled for the fine grid.")


if __name__ == "__main__":
    if sys.argv[1:] == ["fine"]:
        warm(fine=True)
    else:
        warm_both()
        print("The heap model is compiled and ready.")
