"""What the ids in the tables' source columns stand for, and how many values are how well known.

Knows `sources.toml` and the tables that name its ids. Knows nothing of what the values mean.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable

from heapwright.tables import Evidence, read_rows, read_toml

#: Words that may stand in a source column without being a publication.
SOURCE_WORDS = frozenset({"from memory", "common practice", "definition"})
SEPARATOR = "; "


@dataclass(frozen=True, slots=True)
class Source:
    """One publication, as `sources.toml` tells it; empty where not known."""

    key: str
    title: str
    author: str = ""
    year: int | None = None
    publisher: str = ""
    identifier: str = ""
    read: str = ""
    note: str = ""

    @property
    def citation(self) -> str:
        """The source in one line: author, title, year, publisher, identifier."""
        year = str(self.year) if self.year else ""
        parts = (self.author, self.title, year, self.publisher, self.identifier)
        return ", ".join(part for part in parts if part)


@cache
def load_sources() -> Mapping[str, Source]:
    """Return every source by its id."""
    return {
        key: Source(key=key, **fields)
        for key, fields in read_toml("heapwright", "sources.toml").items()
    }


def source_ids(source: str) -> tuple[str, ...]:
    """Return the ids and words that a source column joins."""
    return tuple(part for part in source.split(SEPARATOR) if part)


def is_resolvable(source: str) -> bool:
    """Return whether every part of a source column is a known id or an allowed word."""
    known = load_sources().keys() | SOURCE_WORDS
    return bool(source) and all(part in known for part in source_ids(source))


def describe(source: str) -> str:
    """Return a source column as text for a reader; what is no id is shown as it stands."""
    known = load_sources()
    return "; ".join(known[part].citation if part in known else part for part in source_ids(source))


def evidence_by_table() -> dict[str, Counter[Evidence]]:
    """Return how many values of every shipped table carry each evidence mark.

    Returns
    -------
    dict
        By the table's place in the package ("materials/data/materials.csv"); only CSV tables that
        have a column `evidence` with marks in it, in alphabetical order.

    """
    counted = {}
    for name in sorted(_csv_tables(resources.files("heapwright"), "")):
        marks = [row["evidence"] for row in read_rows("heapwright", name) if row.get("evidence")]
        if marks:
            counted[name] = Counter(Evidence(mark) for mark in marks)
    return counted


def _csv_tables(folder: Traversable, place: str) -> Iterator[str]:
    for item in folder.iterdir():
        if item.is_dir() and not item.name.startswith("_"):
            yield from _csv_tables(item, f"{place}{item.name}/")
        elif item.name.endswith(".csv"):
            yield place + item.name
