"""Beds held against what is published: Cornell's formula, coverage tables, depths, waits."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from heapwright.garden.beds import advised_depth_m, layer_m3, soil_depth_m, wanted_layer
from heapwright.garden.beds_types import Bed, Spread
from heapwright.garden.cautions import cautions_of, harvest_from, judge_salts
from heapwright.garden.tables import PACKAGE, depths
from heapwright.quantities import UnitSystem, from_si, parse_area_m2, to_si
from heapwright.sentences import Reader, render
from heapwright.sources import is_resolvable
from heapwright.tables import read_rows

FT2 = to_si(1, "ft") ** 2
INCH = to_si(1, "in")
DUE = date(2026, 5, 1)


def test_layer_m3_matches_cornell_market_label_formula() -> None:
    """Cornell Composting, market-label guidelines, formula: 350 x 200 ft, 2 in: 434 yd3.

    Their factor 0.0031 stands for 1/324 and is 0.45 % high; exact is 432.1.
    """
    field_m2 = parse_area_m2("350 x 200 ft", UnitSystem.US)
    exact_yd3 = from_si(layer_m3(field_m2, 2 * INCH), "yd3")
    assert exact_yd3 == pytest.approx(70_000 * 2 / 324, rel=1e-12)
    assert round(exact_yd3, 1) == 432.1
    assert 434 / exact_yd3 - 1 == pytest.approx(0.0045, abs=0.0001)


@pytest.mark.parametrize("inches, covered_ft2", [(1, 324), (2, 162), (3, 108), (4, 81)])
def test_a_cubic_yard_covers_as_the_garden_supply_table_says(inches: int, covered_ft2: int) -> None:
    """Garden-supply question page: 324, 162, 108, 81 ft2. A seller's 120 at 3 in is wrong."""
    assert from_si(layer_m3(covered_ft2 * FT2, inches * INCH), "yd3") == pytest.approx(1.0)


def test_a_thousand_square_feet_at_an_inch_is_three_cubic_yards() -> None:
    """Cornell factor: 0.0031 x 1000 = 3.1 yd3; exact 3.09."""
    assert round(from_si(layer_m3(1000 * FT2, INCH), "yd3"), 2) == 3.09


def test_metric_layers_are_litres_per_millimetre() -> None:
    """1 m2 x 1 mm = 1 L, by definition."""
    assert layer_m3(1.0, 0.001) == pytest.approx(to_si(1, "L"))


def test_depths_are_those_of_oregon_state_em_9308_and_chester() -> None:
    """EM 9308: 3 to 4 in into 8 to 12 in, yearly 1/4 to 1 in. Chester County: 2 in at most."""
    new, yearly, soil = (
        advised_depth_m("new bed"),
        advised_depth_m("top-up"),
        soil_depth_m("new bed"),
    )
    assert soil is not None
    assert [x / INCH for x in (new.low, new.typical, new.high)] == pytest.approx([2, 3, 4])
    assert [x / INCH for x in (yearly.low, yearly.high)] == pytest.approx([0.25, 1])
    assert [x / INCH for x in (soil.low, soil.high)] == pytest.approx([8, 12])


def test_potting_mix_holds_a_third_at_most_by_chester_county() -> None:
    pots = Bed("pots", "Pots", "potting mix", DUE, mix_m3=0.3)
    assert wanted_layer(pots).volume_m3.high == pytest.approx(0.1, rel=1e-3)


def test_sacks_of_two_cubic_feet_are_thirteen_and_a_half_a_cubic_yard() -> None:
    """Reference table of containers: 13.5 sacks of 2 ft3 per cubic yard."""
    assert to_si(1, "yd3") / depths()["sack_m3"].typical == pytest.approx(13.5)


@pytest.mark.parametrize("eaten_raw, days", [(True, 120), (False, 90)])
def test_the_wait_after_raw_manure_is_that_of_7_cfr_205_203(eaten_raw: bool, days: int) -> None:
    """7 CFR 205.203(c)(1)(ii) and (iii)."""
    bed = Bed("a", "A", "top-up", DUE, area_m2=10, raw_harvest=eaten_raw)
    spreads = (Spread(date(2026, 3, 1), 0.1, "manure"),)
    first = harvest_from(bed, spreads)
    assert first is not None
    assert (first - date(2026, 3, 1)).days == days
    assert "manure" in {one.id for one in cautions_of(bed, date(2026, 3, 2), spreads)}
    # What grows there may touch the soil even where nobody said so: told until both are over.
    over = date(2026, 3, 1) + timedelta(days=120)
    day_before = {one.id for one in cautions_of(bed, over - timedelta(days=1), spreads)}
    assert "manure" in day_before
    assert "manure" not in {one.id for one in cautions_of(bed, over, spreads)}


@pytest.mark.parametrize("extract, limit", [("paste", 4.0), ("1:1", 2.5), ("1:2", 1.5)])
def test_salts_are_judged_by_missouris_table_1(extract: str, limit: float) -> None:
    """Univ. of Missouri Soil and Plant Testing Lab, Compost Analysis Table 1: less than these."""
    metric = Reader(UnitSystem.METRIC)
    assert "is below" in render(judge_salts(limit - 0.1, extract), metric)
    assert "at or above" in render(judge_salts(limit, extract), metric)
    assert "cannot be judged" in render(judge_salts(limit, "1:5"), metric)


@pytest.mark.parametrize("table", ["depths", "nutrients", "cautions"])
def test_every_row_names_a_source_that_is_known(table: str) -> None:
    for row in read_rows(PACKAGE, f"data/{table}.csv"):
        assert is_resolvable(row["source"]), row["id"]
