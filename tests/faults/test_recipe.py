"""Lots, wishes and bins that cannot be true, or leave nothing to build with."""

import math
from dataclasses import replace

import pytest

from heapwright.errors import HeapwrightError, NoRecipe, NotForCompost, NotUnderstood, OutOfRange
from heapwright.materials.types import Hazard, Packing, Permission, Role
from heapwright.mixing.layers import build_sheet
from heapwright.mixing.lots import lot_properties
from heapwright.mixing.recipe import choose_recipe
from heapwright.mixing.targets import default_wishes
from heapwright.mixing.types import Band
from heapwright.tables import Estimate
from tests.factories import a_lot, a_material, grass, leaves

WISHES = default_wishes(0.76)


def test_nothing_on_hand_says_what_to_gather() -> None:
    with pytest.raises(NoRecipe, match=r"No lot is on the list.*Gather \d.* of .* and \d.* of "):
        choose_recipe([], WISHES)
    with pytest.raises(NoRecipe, match="Gather leaves or straw"):
        choose_recipe([], WISHES, fetchable=[])


def test_only_refused_matter_is_not_built_with() -> None:
    hazard = Hazard(Permission.REFUSED, "It draws rats.", "Waste bin.", "invented")
    meat = a_lot(a_material("meat", Role.GREEN, hazard=hazard))
    with pytest.raises(NoRecipe, match="Meat"):
        choose_recipe([meat], WISHES)


def test_everything_kept_back_leaves_nothing() -> None:
    with pytest.raises(NoRecipe, match="kept back"):
        choose_recipe([replace(leaves(3), keep_back=3)], WISHES)


def test_bin_smaller_than_every_container_is_told() -> None:
    with pytest.raises(NoRecipe, match="one container"):
        choose_recipe([leaves(3)], default_wishes(0.05), fetchable=[])


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"count": -1}, "number on hand is -1"),
        ({"count": 1.5}, "whole containers"),
        ({"keep_back": -2}, "keep back is -2"),
        ({"container_volume_m3": 0.0}, "volume is 0"),
        ({"container_volume_m3": math.nan}, "volume is nan"),
        ({"fullness": Estimate.exactly(0.0)}, "fullness is 0"),
        ({"age_days": -1.0}, "age is -1"),
        ({"age_days": math.inf}, "age is inf"),
        ({"measured": {"colour": Estimate.exactly(1.0)}}, "'colour'"),
        ({"measured": {"container_mass_kg": Estimate.exactly(0.0)}}, "container_mass_kg is 0"),
    ],
)
def test_impossible_lot_is_refused_by_name(change: dict[str, object], said: str) -> None:
    lot = replace(leaves(3), **change)
    with pytest.raises(HeapwrightError) as told:
        choose_recipe([grass(3), lot], WISHES)
    assert said in str(told.value)
    assert "Leaves in bag" in str(told.value)


def test_unknown_packing_asks_for_a_weighing() -> None:
    bare = replace(a_material(), packing_factor={})
    with pytest.raises(NotUnderstood, match="Weigh one container"):
        lot_properties(a_lot(bare, packing=Packing.PRESSED))


@pytest.mark.parametrize(
    ("wish", "band"),
    [
        ("c_to_n", Band(40, 20, 30)),
        ("c_to_n", Band(20, 40, 50)),
        ("c_to_n", Band(math.nan, 40, 30)),
        ("volume_m3", Band(0.0, 0.76, 0.76)),
        ("moisture", Band(0.4, 1.0, 0.6)),
        ("moisture", Band(-0.1, 0.6, 0.5)),
        ("free_air_space", Band(0.3, 1.5, 0.5)),
        ("bulk_density_kg_m3", Band(0.0, 0.0, 0.0)),
    ],
)
def test_impossible_wish_is_refused(wish: str, band: Band) -> None:
    with pytest.raises(OutOfRange):
        choose_recipe([grass(3), leaves(3)], replace(WISHES, **{wish: band}))


@pytest.mark.parametrize("volume", [0.0, -1.0, math.nan, math.inf])
def test_impossible_bin_is_refused(volume: float) -> None:
    with pytest.raises(OutOfRange, match="bin"):
        default_wishes(volume)


def test_unknown_climate_names_those_known() -> None:
    with pytest.raises(NotUnderstood, match="dry, temperate, rainy"):
        default_wishes(0.76, climate="martian")


@pytest.mark.parametrize("measures", [(0.0, 1, 1), (1, -1, 1), (1, 1, math.nan)])
def test_impossible_bin_measures_are_refused(measures: tuple[float, float, float]) -> None:
    recipe = choose_recipe([grass(4), leaves(4)], WISHES, want_thumb_rule=False)
    with pytest.raises(OutOfRange, match="measures more than 0"):
        build_sheet(recipe, *measures)


def test_impossible_hose_is_refused() -> None:
    recipe = choose_recipe([grass(4), leaves(4)], WISHES, want_thumb_rule=False)
    with pytest.raises(OutOfRange, match="hose"):
        build_sheet(recipe, 1, 1, 1, hose_kg_s=0.0)


def test_bin_too_narrow_for_scraps_is_refused() -> None:
    scraps = a_lot(a_material("scraps", Role.GREEN, nitrogen=0.03, is_food=True), volume_m3=0.02)
    recipe = choose_recipe([scraps, leaves(4)], WISHES, want_thumb_rule=False)
    with pytest.raises(OutOfRange, match="hand's breadth"):
        build_sheet(recipe, 0.15, 3, 2)


def test_material_without_figures_is_not_mixed() -> None:
    hazard = Hazard(Permission.REFUSED, "It draws rats.", "Waste bin.", "invented")
    bones = replace(a_material("bones", hazard=hazard), has_numbers=False)
    with pytest.raises(NotForCompost, match="rats"):
        lot_properties(a_lot(bones))
    recipe = choose_recipe([grass(4), leaves(4), a_lot(bones)], WISHES)
    assert {line.lot.material.key for line in recipe.lines} == {"grass", "leaves"}
