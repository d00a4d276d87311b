"""Judges 500 hidden faults and writes the table: `python -m benchmarks.diagnosis --write`.

Knows the seeds that are published (`PUBLISHED`) and those the program's tables were tuned on
(`TRAINING`), which are never mixed. Without `--write` it judges a few and prints.
"""

from __future__ import annotations

import argparse
import platform
import re
from importlib.metadata import version
from pathlib import Path

import heapwright
from benchmarks.diagnosis.judged import case
from benchmarks.diagnosis.score import load, save, table

PUBLISHED = range(500)
TRAINING = range(100_002, 100_317)
PAGE = Path(__file__).parents[2] / "docs" / "validation.md"
_PART = re.compile(r"(<!-- diagnosis: faults -->\n).*?(<!-- diagnosis: end -->)", re.DOTALL)


def part() -> str:
    """Return the part of docs/validation.md, from the stored results."""
    heading, cases = load()
    return f"{table(cases)}\n\n{heading}"


def written(page: str) -> str:
    """Return the page with its part written anew."""
    text = part()
    return _PART.sub(lambda match: f"{match[1]}\n{text}\n\n{match[2]}", page)


def main() -> None:
    """Judge and print, or judge all and write."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--write", action="store_true", help="all 500; store and write the table")
    parser.add_argument("--number", type=int, default=42, help="how many, without --write")
    asked = parser.parse_args()
    seeds = PUBLISHED if asked.write else TRAINING[: asked.number]
    cases = []
    for seed in seeds:
        cases.append(case(seed))
        if len(cases) % 50 == 0:
            print(f"{len(cases)} of {len(seeds)}", flush=True)
    if not asked.write:
        print(table(cases))
        return
    save(cases, _heading())
    PAGE.write_text(written(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
    print(part())


def _heading() -> str:
    return (
        f"Seeds {PUBLISHED[0]} to {PUBLISHED[-1]}; the tables were tuned on seeds {TRAINING[0]} to "
        f"{TRAINING[-1]} only. Heapwright {heapwright.__version__}, numpy {version('numpy')}, "
        f"Python {platform.python_version()}."
    )


if __name__ == "__main__":
    main()
