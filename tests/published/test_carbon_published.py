"""Carbon kept from landfill, held against what is published.

US EPA's numbers were read in copies of its tables, IPCC's on a page that repeats the chapter: see
`sources.toml`.
"""

from __future__ import annotations

import pytest

from heapwright.garden.carbon import factors, heap_kg_per_kg, kept_kg_per_kg, landfill_kg_per_kg
from heapwright.garden.tables import PACKAGE
from heapwright.sources import is_resolvable
from heapwright.tables import read_rows

SHORT_TON_KG = 907.18474  # exact: 2000 lb


def per_kg(t_per_short_ton: float) -> float:
    return t_per_short_ton * 1000 / SHORT_TON_KG


@pytest.mark.parametrize("edition", [0.58, 0.67, 0.68, 0.28, 0.50])
def test_every_published_landfill_figure_of_food_lies_in_the_range(edition: float) -> None:
    """EPA emission factors, table 9: 0.58 (2021); 0.67, 0.68, fruit and vegetables 0.28 (2026).

    EPA WARM version 15, exhibit 1-10: 0.50.
    """
    found = landfill_kg_per_kg()
    assert found.low <= per_kg(edition) + 1e-9
    assert per_kg(edition) <= found.high + 1e-9


def test_warm_exhibits_add_up_to_the_nets_that_are_taken() -> None:
    """WARM 15, exhibits 1-46 and 2-8: lorry, methane, energy won, carbon that stays; rounded."""
    found = factors()
    food, yard = 0.02 + 0.62 - 0.06 - 0.09, 0.02 + 0.34 - 0.03 - 0.54
    assert found["landfill_kitchen_t_per_short_ton"].typical == pytest.approx(food, abs=0.011)
    assert found["landfill_garden_net_t_per_short_ton"].typical == pytest.approx(yard, abs=0.011)
    # Why garden waste has no figure: the two ways to count disagree in their sign.
    assert found["landfill_garden_net_t_per_short_ton"].high < 0
    assert found["landfill_garden_gross_t_per_short_ton"].low > 0


def test_ipcc_defaults_of_dry_waste_give_those_of_wet_waste() -> None:
    """IPCC 2006, volume 5, table 4.1: 10 g CH4 and 0.6 g N2O for a kg dry, at 60 % moisture."""
    assert factors()["heap_methane_g_per_kg"].typical == pytest.approx(10 * 0.4)
    assert factors()["heap_nitrous_g_per_kg"].typical == pytest.approx(0.6 * 0.4)


def test_methane_of_the_windrow_trial_is_the_upper_end() -> None:
    """Scientific Reports 13: 7608: 6.6 to 8.8 kg of carbon as methane from a tonne, wet."""
    assert factors()["heap_methane_g_per_kg"].high == pytest.approx(8.8 * 16.04 / 12.01, abs=0.1)


@pytest.mark.parametrize("edition", [0.11, 0.15])
def test_epas_own_figure_for_composting_lies_in_the_heaps_range(edition: float) -> None:
    """EPA emission factors, table 9, food waste composted: 0.15 (2021), 0.11 (2026).

    A check from outside: the range here is made of IPCC's gases.
    """
    assert heap_kg_per_kg().low < per_kg(edition) < heap_kg_per_kg().high


def test_the_saving_is_within_what_the_windrow_trial_found() -> None:
    """Scientific Reports 13: 7608: composting gives off 38 to 84 % less than a landfill."""
    less = 1 - heap_kg_per_kg().likely / landfill_kg_per_kg().typical
    assert 0.38 < less < 0.84
    kept = kept_kg_per_kg()
    assert 0 < kept.low < kept.likely < kept.high < landfill_kg_per_kg().high


def test_every_value_names_its_source_and_none_is_recalled() -> None:
    for row in read_rows(PACKAGE, "data/carbon.csv"):
        assert is_resolvable(row["source"]), row["id"]
        assert factors()[row["id"]].evidence.is_fact
