"""Finds the texts of the tables that a person may read, by column and key.

Knows which columns of which tables are shown. Knows nothing of Python or of templates.
"""

from __future__ import annotations

import csv
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

from tools import ROOT

SOURCE = ROOT / "src" / "heapwright"
#: A text, or its forms for one and for many, with the file it stands in.
Found = tuple[str | tuple[str, str], str]

#: Columns of tables that are shown, and those whose cells hold several words between bars.
_COLUMNS: dict[str, tuple[str, ...]] = {
    "materials/data/names.csv": ("name", "role"),
    "materials/data/cautions.csv": ("caution",),
    "materials/data/hazards.csv": ("reason", "instead"),
    "materials/data/conditions.csv": ("condition", "question", "how"),
    "materials/data/squeeze.csv": ("answer",),
    "mixing/data/build_cautions.csv": ("text",),
    "diagnosis/data/causes.csv": ("name", "told"),
    "diagnosis/data/signs.csv": ("ask",),
    "finish/data/uses.csv": ("name", "how"),
    "sanitation/data/rules.csv": ("name", "system", "note"),
    "sanitation/data/evidence.csv": ("group", "organism", "condition", "found", "limits"),
    "journal/data/limits.csv": ("quantity",),
}
_SENTENCE_COLUMNS = {"diagnosis/data/signs.csv": ("words",)}
_BARRED_COLUMNS = {"diagnosis/data/signs.csv": ("said",)}
_CONTAINERS = "quantities/data/containers.csv"
_TOML_KEYS: dict[str, tuple[str, ...]] = {
    "finish/data/procedures.toml": (
        "name", "aspect", "tells", "passes", "needs", "steps", "cautions", "note",
    ),
    "weather_sources/climates.toml": ("title", "source"),
}  # fmt: skip


def every_text() -> Iterator[Found]:
    """Yield every text of the tables, with the table it stands in."""
    yield from _of_columns()
    yield from _of_keys()
    for row in _rows(_CONTAINERS):
        yield (row["name"], row["plural"]), _shown(_CONTAINERS)


def _of_columns() -> Iterator[Found]:
    for name, columns in _COLUMNS.items():
        for row in _rows(name):
            yield from (
                (_DEGREES.sub(_degree_named, row[column]), _shown(name))
                for column in columns
                if row[column]
            )
    for name, columns in _SENTENCE_COLUMNS.items():
        for row in _rows(name):
            # The sentence, and the same inside another: see workshop/diagnose_words.py.
            for words in (row[column] for column in columns if row[column]):
                yield words, _shown(name)
                yield f"{words}.", _shown(name)
    for name, columns in _BARRED_COLUMNS.items():
        for row in _rows(name):
            for column in columns:
                yield from ((one, _shown(name)) for one in row[column].split("|") if one)


def _of_keys() -> Iterator[Found]:
    for name, keys in _TOML_KEYS.items():
        for table in tomllib.loads((SOURCE / name).read_text("utf-8")).values():
            for key in keys:
                yield from ((text, _shown(name)) for text in _listed(table.get(key)))


#: A temperature in a table's text, {t62.8}, is a named value: see sanitation/evidence.py.
_DEGREES = re.compile(r"\{t([\d.]+)\}")


def _degree_named(match: re.Match[str]) -> str:
    return "{t" + match[1].replace(".", "_") + "}"


def _listed(value: object) -> list[str]:
    if isinstance(value, str):
        return [value]
    return [one for one in value if isinstance(one, str)] if isinstance(value, list) else []


def _rows(name: str) -> Iterator[dict[str, str]]:
    with (SOURCE / name).open(encoding="utf-8", newline="") as file:
        yield from csv.DictReader(line for line in file if not line.startswith("#"))


def _shown(name: str) -> str:
    return (Path("src/heapwright") / name).as_posix()
