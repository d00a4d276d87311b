"""Reads the sourced tables (CSV, TOML) that ship with the package: floor 0, data only.

Knows the form of an uncertain value (low, typical, high, source, evidence) and how to load a
table beside the module that owns it. Knows nothing of what the values mean.
"""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from importlib import resources
from typing import Any

from heapwright.errors import OutOfRange
from heapwright.wording import worded


class Evidence(StrEnum):
    """How well a value is known. Only `SEEN`, `HANDBOOK` and `MEASURED` may be called a fact."""

    SEEN = "seen"  # read in the named source
    HANDBOOK = "handbook"  # printed handbook, read in a copy or confirmed by two copies
    MEASURED = "measured"  # weighed, squeezed or analysed by this person for this lot
    DERIVED = "derived"  # computed from values named in the source text
    PRACTICE = "common practice"  # rule of the trade, no source
    MEMORY = "from memory"  # recalled, not confirmed; a starting value

    @property
    def is_fact(self) -> bool:
        """Whether a face may show the value without a warning mark."""
        return self in (Evidence.SEEN, Evidence.HANDBOOK, Evidence.MEASURED)


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value that is not exactly known: low <= typical <= high, with its source.

    `low` and `high` are read as the ends of a plausible range (about nine in ten), `typical` as
    the likeliest value.
    """

    low: float
    typical: float
    high: float
    source: str = ""
    evidence: Evidence = Evidence.MEMORY

    def __post_init__(self) -> None:
        if not self.low <= self.typical <= self.high:
            raise OutOfRange(
                worded(
                    "Range {low} to {high} with typical {typical}",
                    low=self.low,
                    high=self.high,
                    typical=self.typical,
                ),
                why="the typical value must lie between low and high",
            )

    @classmethod
    def exactly(
        cls, value: float, source: str = "", evidence: Evidence = Evidence.MEASURED
    ) -> Estimate:
        """Return a value without spread, such as a laboratory's figure."""
        return cls(value, value, value, source, evidence)

    def scaled(self, factor: float) -> Estimate:
        """Return the estimate times a positive factor."""
        return replace(
            self, low=self.low * factor, typical=self.typical * factor, high=self.high * factor
        )


@cache
def _read_text(package: str, name: str) -> str:
    return resources.files(package).joinpath(name).read_text(encoding="utf-8")


def forget_tables() -> None:
    """Read every table anew from now on: for a tool that has just written one."""
    _read_text.cache_clear()
    parameter_table.cache_clear()


def read_rows(package: str, name: str) -> Iterator[Mapping[str, str]]:
    """Yield the rows of a CSV table shipped in `package`; lines starting with # are its heading."""
    lines = [line for line in _read_text(package, name).splitlines() if not line.startswith("#")]
    yield from csv.DictReader(lines)


def read_toml(package: str, name: str) -> dict[str, Any]:
    """Return a TOML table shipped in `package`."""
    return tomllib.loads(_read_text(package, name))


def estimate_from_row(row: Mapping[str, str]) -> Estimate:
    """Return the estimate in a row with columns low, typical, high, source, evidence."""
    typical = float(row["typical"])
    return Estimate(
        low=float(row["low"] or typical),
        typical=typical,
        high=float(row["high"] or typical),
        source=row["source"],
        evidence=Evidence(row["evidence"]),
    )


@cache
def parameter_table(package: str, name: str) -> Mapping[str, Estimate]:
    """Return a parameter table as {id: Estimate}.

    The file has columns id, quantity, low, typical, high, unit, basis, source, place, evidence,
    note. Units are stated once, in that column; the id ends in the unit where it is not obvious.
    """
    return {row["id"]: estimate_from_row(row) for row in read_rows(package, name)}
