"""Times choosing a recipe: 12 and 40 lots of real materials, with and without something to fetch.

Run `python benchmarks/bench_recipe.py`. Prints seconds, and each as a ratio to the plain case of
12 lots, so that two machines can be compared. Knows nothing of what is right: tests do.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Sequence

import numpy as np

from heapwright.materials.table import load_materials
from heapwright.materials.types import Packing, Role
from heapwright.mixing import recipe_model
from heapwright.mixing.recipe import choose_recipe, usable_lots
from heapwright.mixing.targets import default_wishes
from heapwright.mixing.types import Lot, Recipe, Wishes
from heapwright.tables import Estimate

REPEATS = 5
CONTAINERS = (("pail", 0.019), ("bag", 0.06), ("leaf bag", 0.12), ("wheelbarrow", 0.08))


def some_lots(
    number: int, seed: int, roles: Sequence[Role] = (Role.GREEN, Role.BROWN)
) -> list[Lot]:
    """Return lots of different materials, drawn with a fixed seed."""
    draw = np.random.default_rng(seed)
    fit = [m for m in load_materials().values() if m.role in roles]
    lots = []
    for index in range(number):
        material = fit[int(draw.integers(len(fit)))]
        name, volume = CONTAINERS[int(draw.integers(len(CONTAINERS)))]
        lots.append(
            Lot(
                key=f"lot {index}",
                material=material,
                container_name=name,
                container_volume_m3=volume,
                count=int(draw.integers(1, 12)),
                fullness=Estimate(0.8, 0.9, 1.0),
                packing=Packing.LOOSE,
                age_days=float(draw.integers(0, 6)),
            )
        )
    return lots


def timed(lots: list[Lot], wishes: Wishes) -> tuple[float, Recipe]:
    """Return the median time of choosing, and the recipe. [s]"""
    times, recipe = [], None
    for _ in range(REPEATS):
        start = time.perf_counter()
        recipe = choose_recipe(lots, wishes)
        times.append(time.perf_counter() - start)
    assert recipe is not None
    return statistics.median(times), recipe


def solver_seconds(lots: list[Lot], wishes: Wishes) -> float:
    """Return the time of the first program alone. [s]"""
    usable = usable_lots(lots)
    start = time.perf_counter()
    recipe_model.solve(usable, wishes)
    return time.perf_counter() - start


def main() -> None:
    """Print the table."""
    wishes = default_wishes(0.76)
    cases = {
        "12 lots": some_lots(12, 1),
        **{f"40 lots, draw {seed}": some_lots(40, seed) for seed in range(1, 11)},
        "40 lots of brown only": some_lots(40, 1, (Role.BROWN,)),
        "40 lots of green only": some_lots(40, 1, (Role.GREEN,)),
    }
    choose_recipe(cases["12 lots"], wishes)  # imports and tables are read once
    base = 0.0
    print(f"{'case':24} {'all s':>7} {'solver s':>9} {'ratio':>6} proven given way")
    for name, lots in cases.items():
        seconds, recipe = timed(lots, wishes)
        base = base or seconds
        print(
            f"{name:24} {seconds:7.3f} {solver_seconds(lots, wishes):9.3f} {seconds / base:6.1f} "
            f"{recipe.proven!s:6} {', '.join(g.wish for g in recipe.given_way) or '-'}"
        )


if __name__ == "__main__":
    main()
