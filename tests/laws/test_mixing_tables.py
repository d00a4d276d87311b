"""The mixing tables say where each number comes from, and name only materials that exist."""

import csv
from collections.abc import Iterator
from pathlib import Path

import pytest

import heapwright.mixing
from heapwright.materials.table import load_materials
from heapwright.materials.types import Permission
from heapwright.mixing.layers_plan import coarse_materials
from heapwright.mixing.recipe_fetch import fetchable_lots
from heapwright.mixing.targets import CLIMATES, band, default_wishes, target
from heapwright.tables import Evidence

DATA = Path(heapwright.mixing.__file__).parent / "data"
TABLES = sorted(DATA.glob("*.csv"))
WITH_RANGES = [DATA / f"{name}.csv" for name in ("constants", "choice", "building", "targets")]


def rows(path: Path) -> Iterator[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        yield from csv.DictReader(line for line in file if not line.startswith("#"))


@pytest.mark.parametrize("path", TABLES, ids=lambda path: path.name)
def test_every_row_has_its_source_and_evidence(path: Path) -> None:
    for row in rows(path):
        assert None not in row, row  # a comma too many would shift the columns unseen
        assert None not in row.values(), row
        assert row["source"], row
        assert Evidence(row["evidence"]), row
        assert "://" not in ",".join(row.values())


@pytest.mark.parametrize("path", WITH_RANGES, ids=lambda path: path.name)
def test_every_range_runs_upwards_and_ids_are_single(path: Path) -> None:
    found = list(rows(path))
    for row in found:
        assert float(row["low"]) <= float(row["typical"]) <= float(row["high"]), row
        assert row["unit"], row
    assert len({row["id"] for row in found}) == len(found)


@pytest.mark.parametrize("path", WITH_RANGES, ids=lambda path: path.name)
def test_what_has_no_source_is_not_called_a_fact(path: Path) -> None:
    for row in rows(path):
        if "no source" in row["source"]:
            assert not Evidence(row["evidence"]).is_fact, row


def test_fetchable_things_exist_and_may_go_in() -> None:
    offers = fetchable_lots()
    assert len(offers) >= 5
    for lot, effort in offers:
        hazard = lot.material.hazard
        assert hazard is None or hazard.permission is not Permission.REFUSED
        assert effort > 0
        assert lot.count > 0


def test_coarse_materials_exist() -> None:
    assert coarse_materials() <= set(load_materials())


@pytest.mark.parametrize("climate", CLIMATES)
def test_wishes_lie_within_what_every_source_accepts(climate: str) -> None:
    wishes = default_wishes(1.0, climate)
    for source in ("cooperband2002", "rynk2022"):
        for name in ("c_to_n", "moisture"):
            wish, accepted = getattr(wishes, name), band(f"{name}_acceptable_{source}")
            assert accepted.low <= wish.low <= wish.ideal <= wish.high <= accepted.high
    assert wishes.bulk_density_kg_m3.high <= target("bulk_density_most_cooperband2002").high
    assert wishes.free_air_space.low >= target("free_air_space_least_haug1993").low


def test_drier_places_build_wetter() -> None:
    ideals = [default_wishes(1.0, climate).moisture.ideal for climate in CLIMATES]
    assert ideals == sorted(ideals, reverse=True)
    assert len(set(ideals)) == 3


@pytest.mark.parametrize(("bin_m3", "least_m3"), [(0.5, 0.4), (0.76, 0.608), (1.0, 0.765)])
def test_heap_fills_most_of_a_small_bin_and_is_large_enough_in_a_large_one(
    bin_m3: float, least_m3: float
) -> None:
    wish = default_wishes(bin_m3).volume_m3
    assert wish.low == pytest.approx(least_m3)
    assert wish.high == wish.ideal == bin_m3
