"""Amounts and lists in running text come out as a person would say them."""

import pytest

from heapwright.materials.types import Role
from heapwright.mixing import words
from heapwright.mixing.recipe import choose_recipe
from heapwright.mixing.targets import default_wishes
from tests.factories import a_lot, a_material, grass, leaves


@pytest.mark.parametrize(
    ("count", "name", "said"),
    [
        (1, "pail", "1 pail"),
        (2.5, "leaf bag", "2½ leaf bags"),
        (0.75, "wheelbarrow", "¾ wheelbarrow"),
        (0.0625, "bag", "1/16 bag"),
        (1.1875, "box", "1 3/16 boxes"),
        (10, "tray", "10 trays"),
    ],
)
def test_containers_are_counted_in_fractions(count: float, name: str, said: str) -> None:
    assert words.containers(count, name) == said


@pytest.mark.parametrize(
    ("listed", "said"),
    [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c")],
)
def test_lists_end_in_and(listed: list[str], said: str) -> None:
    assert words.joined(listed) == said


def test_thumb_rule_names_every_fault_of_what_it_would_have_given() -> None:
    straw = a_lot(a_material("straw", moisture=0.1, nitrogen=0.004), 9)
    rule = choose_recipe([grass(5), straw], default_wishes(0.76)).thumb_rule
    assert rule is not None
    assert "too much brown to heat well and too dry unless watered well" in rule.sentence
    wet_green = a_lot(a_material("pulp", moisture=0.85, nitrogen=0.03, density=500), 9)
    rule = choose_recipe([grass(5), wet_green], default_wishes(0.76)).thumb_rule
    assert rule is not None
    assert "too green, so it would smell and too wet" in rule.sentence
    rule = choose_recipe([grass(5), leaves(1)], default_wishes(0.76), fetchable=[]).thumb_rule
    assert rule is not None
    assert "a heap too small to hold its heat" in rule.sentence


def test_recipe_on_the_edge_of_the_ideal_says_which_way_it_leans() -> None:
    clover = a_lot(a_material("clover", Role.GREEN, moisture=0.6, nitrogen=0.0225), 9)
    green = choose_recipe([clover], default_wishes(0.5), fetchable=[])
    assert any("on the green side" in reason for reason in green.reasons)
    hay = a_lot(a_material("hay", moisture=0.1, nitrogen=0.0135), 9)
    brown = choose_recipe([hay], default_wishes(0.5), fetchable=[])
    assert any("on the brown side" in reason for reason in brown.reasons)
