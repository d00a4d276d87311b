"""The stored results: one row for each heap and keeper, kept as they come so that a run can go on.

Knows the file's columns. Knows nothing of what they mean.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable
from pathlib import Path

from benchmarks.decisions.keepers import Result
from benchmarks.decisions.worlds import World

FILE = Path(__file__).with_name("results.csv")
COLUMNS = (
    "seed", "climate", "keeper", "days", "finished", "hot_share",
    "turns", "water_kg", "pails", "visits", "left",
)  # fmt: skip


def read(path: Path = FILE) -> list[dict[str, str]]:
    """Return the stored rows, in order of seeds; none when there is no file yet."""
    if not path.exists():
        return []
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def row_of(world: World, result: Result) -> dict[str, str]:
    """Return one result as a row."""
    return {
        "seed": str(world.seed),
        "climate": world.climate_key,
        "keeper": result.keeper,
        "days": f"{result.days:.0f}",
        "finished": str(int(result.finished)),
        "hot_share": f"{result.hot_share:.4f}",
        "turns": str(result.turns),
        "water_kg": f"{result.water_kg:.1f}",
        "pails": str(result.pails),
        "visits": str(result.visits),
        "left": f"{result.left:.4f}",
    }


def append(rows: Iterable[dict[str, str]], path: Path = FILE) -> None:
    """Add rows to the file, beginning it with its heading."""
    is_new = not path.exists()
    with path.open("a", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
        if is_new:
            writer.writeheader()
        writer.writerows(rows)
