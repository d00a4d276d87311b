"""How long it takes to tell a year's stage lengths, and what they are, climate by climate.

Run `python -m benchmarks.bench_stages`. One thread; processor seconds after one run that compiles.
Invented heaps, all alike, in the shipped climates.
"""

from __future__ import annotations

import time
from datetime import UTC, datetime, timedelta

import numpy as np

from heapwright.finish.guides import limits
from heapwright.heap.parameters import parameters_at, sample_deviations
from heapwright.heap.types import BinShape, Fill
from heapwright.season.stage_run import HeapsBuilt, run_stages, settings, weather_days
from heapwright.season.stage_types import StageLengths
from heapwright.weather.projection import on_dates
from heapwright.weather.series import WeatherSeries
from heapwright.weather_sources.climate import climate, climates

NEW_YEAR = datetime(2023, 1, 1, tzinfo=UTC)
SIDES_M = (0.4, 0.6, 1.0, 1.3)


def heaps(side_m: float) -> HeapsBuilt:
    """Return a cube of well-mixed stuff, one for each member."""
    members = round(settings()["members"])
    volume = side_m**3
    deviations = sample_deviations(members, np.random.default_rng(1))
    return HeapsBuilt(
        shape=BinShape(side_m, side_m, side_m, shade=0.5),
        fills=(Fill(400.0 * volume, 0.58, volume, 0.12, 0.2, 0.35, 30.0),) * members,
        parameters=parameters_at(deviations),
        build_water_kg=40.0 * volume,
        cure=limits()["cure_days"],
        target_moisture=0.55,
    )


def weather(key: str) -> WeatherSeries:
    """Return a climate's usual year and what follows."""
    return on_dates(climate(key), NEW_YEAR, NEW_YEAR + timedelta(days=weather_days() + 1))


def row(key: str, side_m: float, lengths: StageLengths, seconds: float) -> str:
    """Return a line: middles over the runs, soonest and latest week of building."""
    stages = [np.median(days, axis=1) for days in lengths.days]
    total = np.median(lengths.total_days, axis=1)
    told = "  ".join(f"{stage.min():4.0f}-{stage.max():<4.0f}" for stage in (*stages, total))
    low, _, high = np.nanmedian(lengths.compost_share(), axis=1)
    return (
        f"{key:11s} {side_m:3.1f} m  {seconds:5.1f} s  {told}  {low:.2f}-{high:.2f}  "
        f"{lengths.never_share.max():.0%}"
    )


def main() -> None:
    """Print the table."""
    run_stages(heaps(1.0), weather("tucson"))
    print(
        "climate      side  seconds  first      middle     cure       in all     compost    never"
    )
    for one in climates():
        series = weather(one.key)
        for side_m in SIDES_M:
            began = time.process_time()
            lengths = run_stages(heaps(side_m), series)
            print(row(one.key, side_m, lengths, time.process_time() - began))


if __name__ == "__main__":
    main()
