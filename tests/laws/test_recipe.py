"""Laws of a recipe: what is on hand bounds it, order is nothing, its figures are recomputed."""

import math
from dataclasses import replace
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heapwright.materials.types import Hazard, Permission, Role
from heapwright.mixing.balance import mix
from heapwright.mixing.lots import container_part
from heapwright.mixing.recipe import choose_recipe
from heapwright.mixing.targets import default_wishes
from heapwright.mixing.types import Lot, Recipe
from tests.factories import a_lot, a_material, grass, leaves

SCRAPS = a_lot(
    a_material(
        "scraps",
        Role.GREEN,
        moisture=0.85,
        nitrogen=0.03,
        carbon=0.4,
        density=450,
        keeps_days=3,
        is_food=True,
    ),
    2,
    volume_m3=0.02,
    container="pail",
)
STRAW = a_lot(a_material("straw", moisture=0.12, nitrogen=0.006, carbon=0.46, density=60), 6)
NOTHING_TO_FETCH: list[tuple[Lot, float]] = []

gardens = st.lists(
    st.sampled_from([grass(4), grass(9), leaves(3), leaves(9), SCRAPS, STRAW]),
    min_size=1,
    max_size=5,
).map(lambda lots: [replace(lot, key=f"{lot.key} {i}") for i, lot in enumerate(lots)])
settings_for_solver = settings(max_examples=20)


@settings_for_solver
@given(gardens, st.sampled_from([0.3, 0.76, 1.2]))
def test_recipe_is_its_own_whole_containers(lots: list[Lot], bin_m3: float) -> None:
    wishes = default_wishes(bin_m3)
    recipe = choose_recipe(lots, wishes, want_thumb_rule=False, fetchable=NOTHING_TO_FETCH)
    assert recipe.lines
    for line in recipe.lines:
        assert 1 <= line.count <= line.lot.count - line.lot.keep_back
        assert isinstance(line.count, int)
    again = mix(
        [container_part(line.lot, line.count) for line in recipe.lines],
        recipe.water_kg,
        wishes.moisture.ideal,
    )
    assert recipe.mixture.likely == again
    assert again.volume_m3 == pytest.approx(sum(line.volume_m3 for line in recipe.lines))
    assert (again.volume_m3 or 0) <= bin_m3 * (1 + 1e-6)
    dry = mix([container_part(line.lot, line.count) for line in recipe.lines])
    if recipe.water_kg > 0:
        assert again.moisture == pytest.approx(wishes.moisture.ideal, abs=1e-6)
    else:
        assert again.moisture == dry.moisture


@settings_for_solver
@given(gardens, st.randoms(use_true_random=False))
def test_order_of_lots_changes_nothing(lots: list[Lot], random: Random) -> None:
    shuffled = lots.copy()
    random.shuffle(shuffled)
    wishes = default_wishes(0.76)
    assert choose_recipe(shuffled, wishes) == choose_recipe(lots, wishes)


@settings_for_solver
@given(gardens)
def test_wishes_give_way_exactly_when_they_are_missed(lots: list[Lot]) -> None:
    wishes = default_wishes(0.76)
    recipe = choose_recipe(lots, wishes, fetchable=NOTHING_TO_FETCH, want_thumb_rule=False)
    likely = recipe.mixture.likely
    inside = (
        (likely.volume_m3 or 0) >= wishes.volume_m3.low * (1 - 1e-4)
        and wishes.c_to_n.low * (1 - 1e-4) <= likely.c_to_n <= wishes.c_to_n.high * (1 + 1e-4)
        and likely.moisture <= wishes.moisture.high * (1 + 1e-4)
    )
    assert (recipe.given_way == ()) == inside


@settings_for_solver
@given(gardens)
def test_after_the_errand_every_wish_fits(lots: list[Lot]) -> None:
    wishes = default_wishes(0.76)
    offer = [(replace(grass(15), key="fetch grass"), 1.0), (replace(leaves(15), key="fetch"), 1.0)]
    recipe = choose_recipe(lots, wishes, fetchable=offer, want_thumb_rule=False)
    assert (recipe.fetch is None) == (recipe.given_way == ())
    if recipe.fetch is not None:
        fetched = [
            replace(lot, count=thing.count)
            for thing in (recipe.fetch, *recipe.fetch.also)
            for lot, _ in offer
            if lot.material.key == thing.material.key
        ]
        better = choose_recipe([*lots, *fetched], wishes, want_thumb_rule=False)
        assert better.given_way == ()


def taken(recipe: Recipe) -> dict[str, int]:
    return {line.lot.key: line.count for line in recipe.lines}


def test_older_green_goes_in_before_fresher() -> None:
    fresh, old = replace(grass(3), key="fresh"), replace(grass(3), key="old", age_days=1.5)
    recipe = choose_recipe([fresh, leaves(3), old], default_wishes(0.6))
    counts = taken(recipe)
    assert counts["old"] == 3
    assert counts.get("fresh", 0) < 3
    assert any("day more" in reason for reason in recipe.reasons)


def test_long_keeping_brown_stays_in_reserve() -> None:
    hay = a_lot(a_material("hay", keeps_days=20), 3, volume_m3=0.12)
    recipe = choose_recipe([grass(4), leaves(9), hay], default_wishes(0.6))
    counts = taken(recipe)
    assert counts.get(hay.key, 0) > counts.get(leaves().key, 0)
    assert any("in reserve" in reason for reason in recipe.reasons)


def test_kept_back_containers_are_never_taken() -> None:
    recipe = choose_recipe([grass(5), replace(leaves(4), keep_back=3)], default_wishes(0.76))
    assert taken(recipe)[leaves().key] == 1


def test_refused_material_never_enters_and_is_named() -> None:
    hazard = Hazard(
        Permission.REFUSED, "It draws rats.", "Put it in the bin for waste.", "invented"
    )
    meat = a_lot(a_material("meat", Role.GREEN, nitrogen=0.03, hazard=hazard), 2, volume_m3=0.02)
    recipe = choose_recipe([grass(5), leaves(4), meat], default_wishes(0.76))
    assert meat.key not in taken(recipe)
    assert any(reason.startswith("Meat: left out. It draws rats.") for reason in recipe.reasons)


def test_condition_of_a_material_is_said_beside_it() -> None:
    hazard = Hazard(
        Permission.CONDITIONAL, "It may hold weedkiller.", "Test it first.", "invented", "tested"
    )
    hay = a_lot(a_material("hay", hazard=hazard), 4, volume_m3=0.12)
    recipe = choose_recipe([grass(5), hay], default_wishes(0.76))
    assert any("Test it first." in reason for reason in recipe.reasons)


def test_strong_nitrogen_is_told_to_be_handled_outdoors() -> None:
    meal = a_lot(
        a_material("meal", Role.SUPPLEMENT, moisture=0.1, nitrogen=0.1, carbon=0.4, density=600),
        3,
        volume_m3=0.01,
    )
    recipe = choose_recipe([leaves(9), meal], default_wishes(0.76))
    assert meal.key in taken(recipe)
    assert any("outdoors" in reason and "ammonia" in reason for reason in recipe.reasons)


def test_soil_and_ash_do_not_fill_the_bin() -> None:
    soil = a_lot(a_material("soil", Role.STARTER, nitrogen=0.002, carbon=0.03, density=1000), 9)
    recipe = choose_recipe([grass(2), leaves(1), soil], default_wishes(0.76))
    assert soil.key not in taken(recipe)


def test_only_leaves_give_way_at_the_ratio_and_green_is_to_be_fetched() -> None:
    recipe = choose_recipe([leaves(8)], default_wishes(0.76))
    (given_way,) = recipe.given_way
    assert given_way.wish == "C:N at most 40"
    assert given_way.got == pytest.approx(0.5 / 0.0075)
    assert recipe.fetch is not None
    assert recipe.fetch.material.role is Role.GREEN
    assert "everything fits" in recipe.fetch.sentence


def test_too_little_gives_way_at_the_size() -> None:
    recipe = choose_recipe([grass(2), leaves(1)], default_wishes(0.76), fetchable=NOTHING_TO_FETCH)
    assert [missed.wish for missed in recipe.given_way] == ["heap at least 0.61 m³"]
    assert taken(recipe) == {grass().key: 2, leaves().key: 1}
    assert recipe.fetch is None


def test_thumb_rule_is_four_to_one_by_volume_from_the_same_lots() -> None:
    lots = [grass(5), leaves(9)]
    rule = choose_recipe(lots, default_wishes(0.76)).thumb_rule
    assert rule is not None
    green_m3 = 0.76 / 5
    grass_kg, leaves_kg = green_m3 * 208, 4 * green_m3 * 120
    nitrogen = grass_kg * 0.23 * 0.024 + leaves_kg * 0.65 * 0.0075
    carbon = grass_kg * 0.23 * 0.45 + leaves_kg * 0.65 * 0.5
    assert rule.mixture.likely.volume_m3 == pytest.approx(0.76)
    assert rule.mixture.likely.mass_kg == pytest.approx(grass_kg + leaves_kg)
    assert rule.mixture.likely.c_to_n == pytest.approx(carbon / nitrogen)
    assert "too much brown" in rule.sentence


def test_thumb_rule_says_when_it_is_all_right() -> None:
    rule = choose_recipe(
        [grass(5), a_lot(a_material("leaves", nitrogen=0.012, moisture=0.5), 9)],
        default_wishes(0.76),
    ).thumb_rule
    assert rule is not None
    assert "all right too" in rule.sentence


def test_thumb_rule_needs_both_sides() -> None:
    assert choose_recipe([leaves(8)], default_wishes(0.76)).thumb_rule is None


def test_recipe_without_nitrogen_says_so_and_stays_finite_elsewhere() -> None:
    chips = a_lot(a_material("chips", nitrogen=0.0, density=250), 8)
    recipe = choose_recipe([chips], default_wishes(0.76), fetchable=NOTHING_TO_FETCH)
    assert recipe.mixture.likely.c_to_n == math.inf
    assert [missed.wish for missed in recipe.given_way] == ["C:N at most 40"]
