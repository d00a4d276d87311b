"""The shipped materials table against the program that writes it, and one word against another."""

import pytest

from heapwright.materials.search import find_material
from heapwright.materials.table import load_materials
from tools.build_materials_table import TARGET, build_values, table_text


def test_shipped_table_is_what_the_build_writes() -> None:
    assert TARGET.read_text(encoding="utf-8") == table_text()


def test_loader_and_build_hold_the_same_values() -> None:
    built = build_values()
    for key, material in load_materials().items():
        if material.has_numbers:
            assert material.moisture.typical == pytest.approx(
                built[key]["moisture"].typical, rel=1e-3, abs=1e-9
            )
            assert material.carbon_dry.high == pytest.approx(
                built[key]["carbon"].high, rel=1e-3, abs=1e-9
            )


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("dead leaves", "leaf litter"),
        ("lawn clippings", "mown grass"),
        ("coffee", "spent coffee grounds"),
        ("veg peel", "kitchen pail"),
        ("chicken poo", "hen manure"),
        ("egg shells", "crushed eggshells"),
        ("banana skins", "banana peels"),
        ("horse muck", "horse dung"),
        ("cofee grounds", "coffee grounds"),
        ("leavs", "leaves"),
        ("shredded oak leaves", "oak leaves"),
        ("dry oak leavs", "oak leaves"),
        ("used tea bags", "tea bags"),
        ("GRASS CLIPPINGS!", "grass clippings"),
        ("kitchen scraps without meat", "kitchen scraps"),
    ],
)
def test_two_names_find_one_material(one: str, other: str) -> None:
    assert find_material(one) is find_material(other)
