"""Invented gardens for the rotation: random years of any size, and tiny ones to try everything on.

Every garden is invented. The lengths of stages are those of a heap that works slower in winter.
"""

from __future__ import annotations

import math
from datetime import date

import numpy as np

from heapwright.season.rotation_types import (
    BedWish,
    HeapForm,
    RotationBin,
    RotationProblem,
    Stage,
    StandingHeap,
    StuffClass,
    StuffOnHand,
    Yield,
)
from heapwright.season.rotation_weights import usual_work_rates

FORM = HeapForm(
    volume_share=(1.0, 0.7, 0.55),
    yield_share=Yield(0.3, 0.38, 0.45),
    least_build_m3=0.3,
    stay_extra_weeks=(0, 1, 0),
)


def seasonal(weeks: int, first: int, summer: float, winter: float) -> tuple[int, ...]:
    """Lengths by week of building, with week 28 of the year the warmest."""
    return tuple(
        round(
            summer + (winter - summer) * 0.5 * (1 - math.cos(2 * math.pi * (first + w - 28) / 52))
        )
        for w in range(weeks)
    )


def random_year(
    seed: int, bins: int = 6, builds: int = 12, weeks: int = 52, volumes: int = 2
) -> RotationProblem:
    """A year with standing heaps, three classes of material, holidays and beds of all kinds."""
    rng = np.random.default_rng(seed)
    first = int(rng.integers(0, 52))
    sizes = [0.75, 1.0, 1.3][:volumes]
    row = tuple(RotationBin(f"b{n}", f"Bin {n + 1}", float(rng.choice(sizes))) for n in range(bins))
    of_year = [(first + w) % 52 for w in range(weeks)]
    leaves = [float(rng.uniform(0.2, 1.2)) if 41 <= w <= 47 else 0.0 for w in of_year]
    grass = [float(rng.uniform(0.05, 0.4)) if 14 <= w <= 42 else 0.0 for w in of_year]
    scraps = [float(rng.uniform(0.02, 0.12)) for _ in of_year]
    stuff = (
        StuffClass(
            "browns",
            "browns",
            (StuffOnHand(float(rng.uniform(0.5, 3)), 50),),
            tuple(leaves),
            52,
            (0.65,) * weeks,
        ),
        StuffClass("greens", "greens", (), tuple(grass), 1, (0.15,) * weeks),
        StuffClass("scraps", "scraps", (StuffOnHand(0.05, 2),), tuple(scraps), 3, (0.12,) * weeks),
    )
    away = {int(w) for w in rng.choice(weeks, max(1, weeks // 13), replace=False)}
    loads = tuple(0.0 if w in away else float(rng.integers(14, 40)) for w in range(weeks))
    standing = []
    for n in rng.choice(bins, int(rng.integers(0, bins // 2 + 1)), replace=False):
        stage = Stage(int(rng.integers(0, 3)))
        later = tuple(int(rng.integers(2, 10)) for _ in range(2 - stage))
        volume = row[n].volume_m3 * FORM.volume_share[stage]
        given = FORM.yield_share.times(row[n].volume_m3)
        standing.append(
            StandingHeap(
                f"s{n}", f"Heap {n}", f"b{n}", stage, int(rng.integers(0, 9)), later, volume, given
            )
        )
    beds = tuple(
        BedWish(
            f"bed{n}",
            f"Bed {n + 1}",
            float(rng.uniform(0.05, 0.6)),
            int(rng.integers(weeks // 8, weeks)),
            float(rng.choice([1.0, 1.0, 1.5, 2.0])),
        )
        for n in range(int(rng.integers(3, 9)))
    )
    return RotationProblem(
        first_day=date(2026, 1, 5),
        bins=row,
        stage_weeks=(
            seasonal(weeks, first, 3, 7),
            seasonal(weeks, first, 3, 6),
            seasonal(weeks, first, 6, 12),
        ),
        stuff=stuff,
        work_loads=loads,
        work=usual_work_rates((0.0, 0.0, 0.0)),
        form=FORM,
        beds=beds,
        standing=tuple(standing),
        compost_on_hand_m3=float(rng.uniform(0, 0.3)),
        most_builds=builds,
    )
