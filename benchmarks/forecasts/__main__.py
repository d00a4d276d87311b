"""Forecasts hidden heaps and tells how good it was: `python -m benchmarks.forecasts [--write]`.

200 heaps of seeds that nothing was chosen on; the plain rules get their spread, and the filter its
settings, on 100 others. Results go to `results.csv`; `--write` also renews docs/forecasts.md.
"""

from __future__ import annotations

import argparse
import csv
from collections.abc import Iterable, Iterator
from concurrent.futures import Executor, ProcessPoolExecutor
from pathlib import Path
from typing import NamedTuple

import numpy as np

from benchmarks.forecasts import forecasters as ways
from benchmarks.forecasts.scores import crps
from benchmarks.forecasts.worlds import World, world
from heapwright.fitting.settings import filter_settings
from heapwright.heap.types import FloatArray
from heapwright.tables import parameter_table

TRAINING = range(1000, 1100)
SEEDS = range(200)
RESULTS = Path(__file__).with_name("results.csv")
WAYS = ("fitted", "unfitted", "cooling curve", "persistence")


class Row(NamedTuple):
    """One forecast against the truth."""

    seed: int
    day: int
    lead: int
    way: str
    truth_c: float
    mean_c: float
    crps: float
    place: float  # share of the members below the truth


class Trained(NamedTuple):
    """What the plain rules learnt on the training seeds."""

    usual_rate: float
    persistence: dict[int, FloatArray]
    cooling: dict[int, FloatArray]


def trained(worlds: Iterable[World]) -> Trained:
    """Return the usual rate of cooling and the errors of the plain rules."""
    worlds = list(worlds)
    rates = [ways.cooling_rate(one, day) for one in worlds for day in ways.FIT_DAYS]
    usual = float(np.median([rate for rate in rates if rate is not None]))
    persistence: dict[int, list[float]] = {days: [] for days in ways.LEAD_DAYS}
    cooling: dict[int, list[float]] = {days: [] for days in ways.LEAD_DAYS}
    for one in worlds:
        for errors, told in (
            (persistence, ways.by_persistence(one)),
            (cooling, ways.by_cooling(one, usual)),
        ):
            for (day, days), value in told.items():
                errors[days].append(float(one.truth_c[24 * (day + days)]) - value)
    return Trained(usual, ways.error_quantiles(persistence), ways.error_quantiles(cooling))


def rows_of(seed: int, plain: Trained) -> list[Row]:
    """Return every way's forecasts of one hidden heap."""
    hidden = world(seed)
    sd = parameter_table("heapwright.fitting", "data/reading_error.csv")["reading_sd_c"].typical
    settings = filter_settings()
    fitted = ways.by_model(hidden, seed, settings, sd, is_fitted=True)
    unfitted = ways.by_model(hidden, seed, settings, sd, is_fitted=False)
    cooled = ways.by_cooling(hidden, plain.usual_rate)
    stayed = ways.by_persistence(hidden)
    rows = []
    for day, days in fitted:
        truth = float(hidden.truth_c[24 * (day + days)])
        members = {
            "fitted": fitted[day, days],
            "unfitted": unfitted[day, days],
            "cooling curve": ways.dressed(cooled[day, days], plain.cooling[days]),
            "persistence": ways.dressed(stayed[day, days], plain.persistence[days]),
        }
        rows += [_row(seed, day, days, way, members[way], truth) for way in WAYS]
    return rows


def _row(seed: int, day: int, lead: int, way: str, members: FloatArray, truth: float) -> Row:
    score = float(crps(members[None, :], np.array([truth]))[0])
    place = float((members < truth).mean())
    return Row(seed, day, lead, way, truth, float(members.mean()), score, place)


def run(seeds: Iterable[int], pool: Executor) -> Iterator[Row]:
    """Yield the rows of all seeds."""
    plain = trained(pool.map(world, TRAINING, chunksize=5))
    seeds = list(seeds)
    for rows in pool.map(rows_of, seeds, [plain] * len(seeds)):
        yield from rows


def save(rows: Iterable[Row], path: Path = RESULTS) -> None:
    """Write the rows, rounded to what is told."""
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(Row._fields)
        for row in rows:
            writer.writerow(
                [f"{value:.4f}" if isinstance(value, float) else value for value in row]
            )


def load(path: Path = RESULTS) -> list[Row]:
    """Return the rows of a file that `save` wrote."""
    with path.open(newline="", encoding="utf-8") as file:
        return [
            Row(
                int(row["seed"]),
                int(row["day"]),
                int(row["lead"]),
                row["way"],
                *(float(row[name]) for name in ("truth_c", "mean_c", "crps", "place")),
            )
            for row in csv.DictReader(file)
        ]


def main() -> None:
    """Run, save, and print or write the page."""
    from benchmarks.forecasts import page

    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--write", action="store_true", help="renew docs/forecasts.md too")
    parser.add_argument("--processes", type=int, default=2)
    asked = parser.parse_args()
    with ProcessPoolExecutor(asked.processes) as pool:
        rows = list(run(SEEDS, pool))
    save(rows)
    print(page.table(load()))
    if asked.write:
        page.write(load())


if __name__ == "__main__":
    main()
