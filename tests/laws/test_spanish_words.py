"""Spanish names of materials lead to the same materials, and never past a sign of harm."""

from __future__ import annotations

import pytest

from heapwright.materials.search import candidates
from heapwright.materials.table import load_materials
from heapwright.materials.vocabulary import spanish_words


def test_every_spanish_word_means_materials_of_the_table() -> None:
    assert all(key in load_materials() for keys in spanish_words().values() for key in keys)


@pytest.mark.parametrize(
    ("words", "key"),
    [
        ("paja", "straw_general"),
        ("Hojas secas", "leaves_mixed_dry"),
        ("posos de café", "coffee_grounds"),
        ("borra de cafe", "coffee_grounds"),
        ("carne", "meat_raw"),
        ("excrementos de perro", "pet_waste"),
    ],
)
def test_a_spanish_name_is_found(words: str, key: str) -> None:
    assert [material.key for material in candidates(words)] == [key]


@pytest.mark.parametrize("words", ["césped", "estiércol", "serrín", "heno", "ceniza"])
def test_a_word_that_may_mean_harm_is_asked_about(words: str) -> None:
    found = candidates(words)
    assert len(found) > 1
    assert any(material.hazard is not None for material in found)


@pytest.mark.parametrize(
    "words", ["aserrín de madera tratada", "césped con herbicida", "tomates con tizón"]
)
def test_a_longer_spanish_phrase_is_never_taken_for_its_harmless_part(words: str) -> None:
    assert all(material.hazard is not None for material in candidates(words))
