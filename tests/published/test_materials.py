"""Measuring by hand and the materials table against printed figures.

Sources: T. Richard and N. Trautmann, Cornell Composting science pages; Zabaleta after Cooperband
2002; NRAES-54 (Rynk ed., 1992) Table A.1; Indian Food Composition Tables 2017; LSU AgCenter.
"""

import pytest

from heapwright.materials.measured import (
    bulk_density_from_pail,
    laboratory_share,
    moisture_from_drying,
    squeeze_moisture,
)
from heapwright.materials.table import load_materials
from heapwright.tables import Evidence


def test_moisture_from_drying_matches_richard_trautmann_example1() -> None:
    # Container 4 g, with 10 g of grass clippings 14 g, after drying 6.3 g in all: 77 %.
    moisture = moisture_from_drying(4.0, 14.0, 6.3)
    assert moisture.typical == pytest.approx(0.77, abs=0.005)
    assert moisture.evidence is Evidence.MEASURED


def test_bulk_density_from_pail_matches_zabaleta_cooperband2002() -> None:
    # Pail of 20 L, 1 kg empty, 10 kg full: 0.45 kg/L.
    assert bulk_density_from_pail(10.0, 1.0, 0.020).typical / 1000 == pytest.approx(0.45, abs=0.005)


def test_squeeze_moisture_matches_extension_services_and_lsu() -> None:
    drops = squeeze_moisture("one or two drops")
    assert (drops.low, drops.high) == (
        0.50,
        0.60,
    )  # horse-keeping page; NC State and Nebraska agree
    assert squeeze_moisture("dry and dusty").high == 0.44  # LSU AgCenter, Moisture


def test_squeeze_moisture_keeps_the_stricter_german_reading_beside_the_usual_one() -> None:
    no_drops, drops = squeeze_moisture("no drops"), squeeze_moisture("one or two drops")
    assert no_drops.typical < drops.typical
    assert no_drops.high > drops.low  # the two readings of "right" overlap


def test_sawdust_keeps_nraes54_c_to_n_with_possible_carbon() -> None:
    # Table A.1 averages 0.24 % N and C:N 442: their product would be 106 % carbon.
    sawdust = load_materials()["sawdust"]
    assert sawdust.c_to_n == pytest.approx(442, abs=0.5)
    assert sawdust.carbon_dry.typical == pytest.approx(0.50, abs=0.005)
    assert sawdust.nitrogen_dry.typical == pytest.approx(0.00113, abs=0.000005)


@pytest.mark.parametrize(
    ("key", "moisture", "nitrogen", "c_to_n", "density"),
    [
        ("cow_manure", 0.81, 0.024, 19, 865),
        ("horse_manure", 0.72, 0.016, 30, 818),
        ("sheep_manure", 0.69, 0.027, 16, None),
        ("leaves_mixed_dry", 0.38, 0.009, 54, 119),
        ("apple_pomace", 0.88, 0.011, 48, 925),
        ("cocoa_shells", 0.08, 0.023, 22, 473),
    ],
)
def test_load_materials_matches_nraes54_table_a1(
    key: str, moisture: float, nitrogen: float, c_to_n: float, density: float | None
) -> None:
    material = load_materials()[key]
    assert material.moisture.typical == pytest.approx(moisture, abs=0.005)
    assert material.nitrogen_dry.typical == pytest.approx(nitrogen, abs=0.0005)
    assert material.c_to_n == pytest.approx(c_to_n, abs=0.5)
    if density is not None:
        assert material.bulk_density_kg_m3.typical == pytest.approx(density, abs=0.5)


def test_grass_keeps_nraes54_c_to_n_and_takes_cornell_carbon() -> None:
    # 3.4 % N x 17 would be 57.8 % carbon of clippings with at least 6 % ash: more than plants hold.
    grass = load_materials()["grass_clippings_loose"]
    assert grass.c_to_n == pytest.approx(17, abs=0.5)
    assert grass.carbon_dry.typical == pytest.approx(0.45, abs=0.005)


@pytest.mark.parametrize(
    ("key", "water", "protein", "ash"),
    [("lettuce", 92.27, 1.54, 1.11), ("carrot", 87.69, 0.95, 1.16), ("cabbage", 91.85, 1.36, 0.67)],
)
def test_load_materials_matches_ifct2017(
    key: str, water: float, protein: float, ash: float
) -> None:
    # Grams per 100 g edible portion; nitrogen = protein / 6.25 (food-table convention).
    material = load_materials()[key]
    dry = 100 - water
    assert material.moisture.typical == pytest.approx(water / 100, abs=0.0005)
    assert material.nitrogen_dry.typical == pytest.approx(protein / 6.25 / dry, abs=0.0005)
    assert material.ash_dry.typical == pytest.approx(ash / dry, abs=0.0015)


def test_packing_factor_of_grass_matches_massachusetts_over_nraes54() -> None:
    # Packed 667 lb/yd3 = 396 kg/m3 over loose 208 kg/m3.
    grass = load_materials()["grass_clippings_loose"]
    assert grass.packing_factor["pressed"].typical * 208 == pytest.approx(396, abs=0.5)


def test_laboratory_share_matches_definition_of_dry_basis() -> None:
    # 0.6 % nitrogen as received at 75 % moisture is 2.4 % of dry mass.
    assert laboratory_share(0.006, basis="wet", moisture=0.75).typical == pytest.approx(0.024)
    assert laboratory_share(0.024, basis="dry").typical == 0.024
