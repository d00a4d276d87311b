"""The scripts we ship from other projects are byte for byte the ones written in their table."""

import csv
import gzip
import hashlib
from pathlib import Path

import pytest

from tools import ROOT

FOLDER = ROOT / "src/heapwright/web/static/vendor"
TABLE = FOLDER / "vendor.csv"


def rows() -> list[dict[str, str]]:
    with TABLE.open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table))


@pytest.mark.parametrize("row", rows(), ids=lambda row: row["file"])
def test_vendored_file_is_the_one_in_the_table(row: dict[str, str]) -> None:
    content = (FOLDER / row["file"]).read_bytes()
    assert hashlib.sha256(content).hexdigest() == row["sha256"]


@pytest.mark.parametrize("row", rows(), ids=lambda row: row["file"])
def test_size_on_the_wire_is_the_one_in_the_table(row: dict[str, str]) -> None:
    # Compression libraries differ by a few bytes; a gardener's phone notices none of them.
    size = len(gzip.compress((FOLDER / row["file"]).read_bytes(), 9, mtime=0))
    assert size == pytest.approx(int(row["size_gz"]), rel=0.03)


def test_every_vendored_file_is_in_the_table() -> None:
    assert {row["file"] for row in rows()} == names_in(FOLDER) - {TABLE.name}


def test_every_vendored_project_brings_its_licence() -> None:
    texts = {row["name"] for row in rows() if Path(row["file"]).name.endswith("-LICENSE.txt")}
    assert texts == {row["name"] for row in rows()}


def names_in(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir() if path.is_file()}
