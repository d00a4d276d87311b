"""`python -m benchmarks.decisions`: keep the heaps of some seeds, and write what came out.

Heaps already in the stored file are not kept again, so a run that was broken off goes on.
`--write` puts the tables between their marks in docs/validation.md.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

from benchmarks.decisions import record, summary
from benchmarks.decisions.follower import VISIT_DAYS, by_today
from benchmarks.decisions.keepers import KEEPERS, Result, keep
from benchmarks.decisions.worlds import World, world

SEEDS = range(200)
PAGE = Path(__file__).parents[2] / "docs" / "validation.md"
BEGIN, END = "<!-- decisions: keepers -->", "<!-- decisions: end -->"


def kept(of: World) -> list[Result]:
    """Return what became of one heap under each keeper."""
    results = [keep(of, name, days, keeper) for name, (days, keeper) in KEEPERS.items()]
    return [*results, keep(of, "today", VISIT_DAYS, by_today)]


def run(seeds: Sequence[int], path: Path) -> None:
    """Keep the heaps of these seeds that are not in the file yet."""
    there = {int(row["seed"]) for row in record.read(path) if row["keeper"] == "today"}
    for seed in seeds:
        if seed not in there:
            one = world(seed)
            record.append((record.row_of(one, result) for result in kept(one)), path)
            print(f"heap {seed}", flush=True)


def written(page: str, lines: Sequence[str]) -> str:
    """Return the page with the lines between the marks."""
    before, rest = page.split(BEGIN)
    _, after = rest.split(END, 1)
    return f"{before}{BEGIN}\n\n" + "\n".join(lines) + f"\n\n{END}{after}"


def main(arguments: Sequence[str] | None = None) -> None:
    """Run, print, and with `--write` write."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.decisions", description=__doc__)
    parser.add_argument("--seeds", default=f"{SEEDS[0]}:{SEEDS[-1] + 1}", help="FIRST:END")
    parser.add_argument("--file", type=Path, default=record.FILE)
    parser.add_argument("--write", action="store_true")
    said = parser.parse_args(arguments)
    first, end = (int(part) for part in said.seeds.split(":"))
    run(range(first, end), said.file)
    lines = summary.lines(record.read(said.file))
    print("\n".join(lines))
    if said.write:
        text = PAGE.read_text(encoding="utf-8")
        PAGE.write_text(written(text, lines), encoding="utf-8")


if __name__ == "__main__":
    main()
