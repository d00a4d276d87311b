"""Laws of a build sheet: nothing is lost, green lies thin, scraps lie in the core, brown closes."""

import math
from dataclasses import replace
from functools import cache
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heapwright.materials.table import load_materials
from heapwright.materials.types import Role
from heapwright.mixing.constants import building
from heapwright.mixing.layers import build_sheet
from heapwright.mixing.lots import container_part
from heapwright.mixing.recipe import choose_recipe
from heapwright.mixing.targets import default_wishes
from heapwright.mixing.types import BuildSheet, LayerKind, Lot, Recipe
from tests.factories import a_lot, a_material, grass, leaves
from tests.laws.test_recipe import SCRAPS, STRAW

WIDTH, DEPTH, HEIGHT = 0.9, 0.9, 0.95
PRUNINGS = a_lot(load_materials()["shrub_prunings"], 2, volume_m3=0.06)
gardens = st.lists(
    st.sampled_from([grass(4), grass(9), leaves(3), leaves(9), SCRAPS, STRAW, PRUNINGS]),
    min_size=1,
    max_size=5,
    unique_by=id,
).map(lambda lots: [replace(lot, key=f"{lot.key} {i}") for i, lot in enumerate(lots)])


def recipe_for(lots: list[Lot]) -> Recipe:
    wishes = default_wishes(WIDTH * DEPTH * HEIGHT)
    return choose_recipe(lots, wishes, want_thumb_rule=False, fetchable=[])


def sheet_for(recipe: Recipe, hose_kg_s: float | None = None) -> BuildSheet:
    return build_sheet(recipe, WIDTH, DEPTH, HEIGHT, hose_kg_s=hose_kg_s)


@cache
def usual() -> tuple[Recipe, BuildSheet]:
    recipe = recipe_for([grass(5), leaves(9), SCRAPS])
    return recipe, sheet_for(recipe, 0.25)


@settings(max_examples=20)
@given(gardens)
def test_layers_hold_exactly_what_the_recipe_holds(lots: list[Lot]) -> None:
    recipe = recipe_for(lots)
    sheet = sheet_for(recipe)
    laid: dict[str, float] = {}
    for layer in sheet.layers:
        for lot, count in layer.contents:
            assert count > 0
            laid[lot.key] = laid.get(lot.key, 0.0) + count
    assert laid == {line.lot.key: float(line.count) for line in recipe.lines}
    assert math.fsum(layer.water_kg for layer in sheet.layers) == pytest.approx(recipe.water_kg)
    assert sheet.total_water_kg == recipe.water_kg
    volume = math.fsum(line.volume_m3 for line in recipe.lines)
    assert sheet.loose_height_m == pytest.approx(volume / (WIDTH * DEPTH))
    assert [layer.number for layer in sheet.layers] == list(range(1, len(sheet.layers) + 1))


@settings(max_examples=20)
@given(gardens)
def test_green_lies_thin_and_on_brown_where_there_is_brown(lots: list[Lot]) -> None:
    sheet = sheet_for(recipe_for(lots))
    kinds = [layer.kind for layer in sheet.layers]
    for layer in sheet.layers:
        if layer.kind in (LayerKind.GREEN, LayerKind.FOOD):
            assert layer.depth_m <= building(f"{layer.kind.value}_layer_most_m") * (1 + 1e-9)
        assert layer.margin_m == (0.10 if layer.kind is LayerKind.FOOD else 0.0)
        assert layer.steps
    if LayerKind.BROWN in kinds:
        parted = (LayerKind.GREEN, LayerKind.GREEN) not in pairwise(kinds)
        scarce = any("too little brown" in text for text in sheet.cautions)
        assert parted != scarce  # green on green only where the sheet says that brown is short
        assert kinds[0] in (LayerKind.BASE, LayerKind.BROWN)
        assert kinds[-1] is LayerKind.CAP


def test_scraps_lie_in_the_core_a_hand_below_the_top() -> None:
    _, sheet = usual()
    kinds = [layer.kind for layer in sheet.layers]
    assert LayerKind.FOOD in kinds
    assert LayerKind.GREEN in kinds[: kinds.index(LayerKind.FOOD)]
    top = len(kinds) - 1 - kinds[::-1].index(LayerKind.FOOD)
    assert sum(layer.depth_m for layer in sheet.layers[top + 1 :]) >= 0.10
    food = [layer for layer in sheet.layers if layer.kind is LayerKind.FOOD]
    volume = math.fsum(layer.depth_m * (WIDTH - 0.2) * (DEPTH - 0.2) for layer in food)
    assert volume == pytest.approx(0.02 * 2)
    text = " ".join(step for layer in food for step in layer.steps)
    assert "a hand's breadth away from every side" in text
    assert "Cover it at once" in text


def test_dry_brown_gets_most_water_and_wet_green_none() -> None:
    recipe = recipe_for([grass(3), STRAW, leaves(9)])
    sheet = sheet_for(recipe, hose_kg_s=0.2)
    assert recipe.water_kg > 0
    for layer in sheet.layers:
        parts = [container_part(lot, count) for lot, count in layer.contents]
        mass = sum(part.mass_kg for part in parts)
        moisture = sum(part.mass_kg * part.moisture for part in parts) / mass
        assert (layer.water_kg > 0) == (moisture < recipe.mixture.likely.moisture)
        assert layer.hose_seconds == pytest.approx(layer.water_kg / 0.2)
    per_kg = {
        lot.material.role: layer.water_kg for layer in sheet.layers for lot, _ in layer.contents
    }
    assert per_kg[Role.BROWN] > per_kg[Role.GREEN] == 0


def test_coarse_stuff_lies_at_the_bottom() -> None:
    lots = [grass(9), PRUNINGS]
    sheet = sheet_for(recipe_for(lots))
    assert sheet.layers[0].kind is LayerKind.BASE
    assert sheet.layers[0].contents[0][0].material.key == "shrub_prunings"
    assert sheet.layers[0].depth_m <= 0.15


def test_without_a_hose_there_are_no_seconds() -> None:
    recipe, _ = usual()
    assert {layer.hose_seconds for layer in sheet_for(recipe).layers} == {None}


def test_cautions_stand_beside_the_work() -> None:
    _, sheet = usual()
    text = " ".join(sheet.cautions)
    for word in ("mask", "wet them before", "gloves", "wash your hands", "weak chest"):
        assert word in text


def test_heavy_containers_are_named_for_lifting() -> None:
    heavy = a_lot(
        a_material("manure", Role.GREEN, moisture=0.75, nitrogen=0.02, density=700),
        4,
        volume_m3=0.06,
        container="sack",
    )
    sheet = sheet_for(recipe_for([heavy, leaves(9)]))
    assert any(
        "sack of manure" in caution and "part-loads" in caution for caution in sheet.cautions
    )


def test_green_alone_warns_that_it_mats_and_lacks_a_cap() -> None:
    sheet = sheet_for(recipe_for([grass(9)]))
    text = " ".join(sheet.cautions)
    assert "mats and turns sour" in text
    assert "no brown left for a cap" in text


def test_scraps_alone_warn_that_they_are_not_covered() -> None:
    sheet = sheet_for(recipe_for([SCRAPS]))
    assert any("covered too thinly" in caution for caution in sheet.cautions)


@pytest.mark.parametrize(
    ("bags_of_grass", "has_base", "parts_all"),
    [(5, True, True), (7, False, True), (9, False, False)],
)
def test_brown_that_is_short_goes_between_the_greens_rather_than_under_all(
    bags_of_grass: int, has_base: bool, parts_all: bool
) -> None:
    """One bag of prunings, which may be the base: enough for it, only just not, far from it."""
    prunings = replace(leaves(1), material=load_materials()["shrub_prunings"])
    recipe = recipe_for([grass(bags_of_grass), prunings])
    assert [line.count for line in recipe.lines] == [bags_of_grass, 1]
    sheet = sheet_for(recipe)
    kinds = [layer.kind for layer in sheet.layers]
    assert (LayerKind.BASE in kinds) is has_base
    assert ((LayerKind.GREEN, LayerKind.GREEN) not in pairwise(kinds)) is parts_all
    assert any("too little brown" in text for text in sheet.cautions) is not parts_all
    assert kinds[-1] is LayerKind.CAP
