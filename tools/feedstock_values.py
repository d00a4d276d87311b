"""A value of the materials table while it is being built, and how its rule tables are read.

Knows low, likely and high with source and evidence mark. Knows none of the rules.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass, replace
from pathlib import Path

EVIDENCE_ORDER = ["seen", "handbook", "derived", "common practice", "from memory"]


@dataclass(frozen=True)
class Value:
    """One value with its range and where it comes from."""

    low: float
    typical: float
    high: float
    source: str
    place: str
    evidence: str
    note: str = ""

    def widened(self, share: float, quantity: str) -> Value:
        """Return the range stretched by a share of each end; a share of mass stays below 1."""
        high = self.high * (1 + share)
        if quantity == "moisture":
            high = self.high + share * (1 - self.high)
        return replace(self, low=self.low * (1 - share), high=high)


Values = dict[str, Value]


def read_table(path: Path) -> list[dict[str, str]]:
    """Return the rows of a CSV table whose heading lines begin with #."""
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if line[:1] != "#"]
    return list(csv.DictReader(lines))


def weaker(first: str, second: str) -> str:
    """Return the weaker of two evidence marks."""
    return max(first, second, key=EVIDENCE_ORDER.index)


def value_of(row: dict[str, str], prefix: str = "") -> Value:
    """Return the value in a row with columns low, typical, high, source, place, evidence, note."""
    return Value(
        float(row["low"]), float(row["typical"]), float(row["high"]),
        row["source"], row["place"], row["evidence"], (prefix + row["note"]).removesuffix("; "),
    )  # fmt: skip
