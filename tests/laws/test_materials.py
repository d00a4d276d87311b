"""What must hold for every material of the table and every value in it."""

import re
from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heapwright.errors import UnknownMaterial
from heapwright.materials.hazards import check_allowed, conditions, refused_or_conditional
from heapwright.materials.measured import (
    bulk_density_from_pail,
    laboratory_share,
    moisture_from_drying,
    squeeze_moisture,
    squeeze_words,
)
from heapwright.materials.search import candidates, find_material, suggestions
from heapwright.materials.table import load_materials
from heapwright.materials.types import Material, Packing, Permission, Role
from heapwright.materials.vocabulary import harm_words, unclear_words, vocabulary
from heapwright.sources import describe, evidence_by_table, is_resolvable, load_sources
from heapwright.tables import Estimate, Evidence, read_rows
from tools.build_materials_table import (
    CARBON_HIGHEST,
    CARBON_LOWEST,
    CARBON_OF_VS_HIGHEST,
    INORGANIC_KINDS,
)

PACKAGE = "heapwright.materials"
VALUE_TABLES = [
    "data/materials.csv",
    "data/degradability.csv",
    "data/packing.csv",
    "data/keeps.csv",
    "data/squeeze.csv",
    "data/measuring.csv",
]
WORD_TABLES = ["data/hazards.csv", "data/cautions.csv"]
NUMBERED = [material for material in load_materials().values() if material.has_numbers]
SHARES = ("moisture", "nitrogen_dry", "carbon_dry", "ash_dry", "fast_share", "medium_share")

each_numbered = pytest.mark.parametrize("material", NUMBERED, ids=lambda material: material.key)
each_material = pytest.mark.parametrize(
    "material", list(load_materials().values()), ids=lambda material: material.key
)


@each_numbered
def test_every_share_lies_between_nothing_and_all(material: Material) -> None:
    for name in SHARES:
        value: Estimate = getattr(material, name)
        assert 0 <= value.low <= value.typical <= value.high <= 1, name
    assert 0 < material.bulk_density_kg_m3.low <= material.bulk_density_kg_m3.high < 2000


@each_numbered
def test_parts_never_exceed_the_whole(material: Material) -> None:
    dry = material.nitrogen_dry.typical + material.carbon_dry.typical + material.ash_dry.typical
    assert dry <= 1 + 1e-9
    assert material.fast_share.high + material.medium_share.high <= 1 + 1e-9


@pytest.mark.parametrize(
    "material",
    [material for material in NUMBERED if material.kind not in INORGANIC_KINDS],
    ids=lambda material: material.key,
)
def test_carbon_of_everything_organic_is_possible(material: Material) -> None:
    carbon = material.carbon_dry
    assert CARBON_LOWEST <= carbon.low <= carbon.high <= CARBON_HIGHEST
    # The table prints four digits.
    assert carbon.typical <= CARBON_OF_VS_HIGHEST * (1 - material.ash_dry.low) + 1e-3


@each_numbered
def test_c_to_n_printed_agrees_with_carbon_and_nitrogen(material: Material) -> None:
    printed = {
        row["material"]: float(row["typical"])
        for row in read_rows(PACKAGE, "data/materials.csv")
        if row["quantity"] == "c_to_n"
    }
    if material.key in printed:
        assert material.c_to_n == pytest.approx(printed[material.key], rel=0.025)
    else:
        assert material.nitrogen_dry.typical == 0


@each_material
def test_every_material_has_packings_words_and_a_keeping_time(material: Material) -> None:
    assert set(material.packing_factor) == set(Packing)
    loose = material.packing_factor[Packing.LOOSE]
    assert (loose.low, loose.high) == (1, 1)
    for packing in (Packing.PRESSED, Packing.SHREDDED):
        assert material.packing_factor[packing].low >= 1
    assert material.keeps_days.low > 0
    assert len(material.words) >= 2
    assert all(word == word.lower() for word in material.words)


def test_common_materials_have_three_words_or_more() -> None:
    for key in (
        "leaves_mixed_dry", "grass_clippings_loose", "vegetable_scraps", "coffee_grounds",
        "straw_general", "cardboard", "office_paper", "horse_manure", "poultry_layer",
        "wood_chips_general", "sawdust", "eggshells", "wood_ash", "banana_fruit", "brush",
    ):  # fmt: skip
        assert len(load_materials()[key].words) >= 3, key


def test_pressed_and_shredded_stuff_is_no_lighter_than_loose() -> None:
    leaves = load_materials()["leaves_mixed_dry"]
    pressed, shredded = (leaves.packing_factor[p] for p in (Packing.PRESSED, Packing.SHREDDED))
    assert 1 < pressed.low < pressed.high
    assert shredded.high == 6.0  # the weak report of 100 bags mown to 17


@pytest.mark.parametrize("table", VALUE_TABLES)
def test_every_value_is_ordered_sourced_and_marked(table: str) -> None:
    for row in read_rows(PACKAGE, table):
        assert float(row["low"]) <= float(row["typical"]) <= float(row["high"]), row["id"]
        assert is_resolvable(row["source"]), row["id"]
        assert Evidence(row["evidence"]), row["id"]
        assert row["unit"], row["id"]


@pytest.mark.parametrize("table", VALUE_TABLES)
def test_ids_are_used_once(table: str) -> None:
    ids = Counter(row["id"] for row in read_rows(PACKAGE, table))
    assert [name for name, count in ids.items() if count > 1] == []


@pytest.mark.parametrize("table", WORD_TABLES)
def test_every_hazard_and_caution_has_a_source(table: str) -> None:
    for row in read_rows(PACKAGE, table):
        assert is_resolvable(row["source"]), row
        assert Evidence(row["evidence"]), row


def test_a_value_read_in_no_source_is_never_a_fact() -> None:
    for table in VALUE_TABLES:
        for row in read_rows(PACKAGE, table):
            if "from memory" in row["source"]:
                assert not Evidence(row["evidence"]).is_fact, row["id"]


def test_evidence_is_counted_over_all_values() -> None:
    counted = evidence_by_table()
    for table in VALUE_TABLES:
        rows = sum(1 for _ in read_rows(PACKAGE, table))
        assert sum(counted[f"materials/{table}"].values()) == rows
    assert counted["materials/data/materials.csv"][Evidence.MEMORY] > 0
    assert "quantities/data/units.csv" not in counted  # definitions carry no mark


def test_sources_hold_no_address_and_say_how_they_were_read() -> None:
    for source in load_sources().values():
        assert "://" not in source.citation
        assert not re.search(r"\b(www|http)|\.(com|org|edu)\b", source.citation)
        assert source.read in ("seen", "second-hand", "from memory", "derived")
        assert source.title
    assert describe("nraes54").startswith("R. Rynk (ed.), On-Farm Composting Handbook, 1992")


@each_material
def test_every_material_is_found_by_its_key_name_and_words(material: Material) -> None:
    for word in (material.key, material.name, *material.words):
        assert material in candidates(word), word


def test_every_word_means_one_material_or_is_listed_as_unclear() -> None:
    shared = {phrase for phrase, keys in vocabulary().items() if len(keys) > 1}
    assert shared == set()
    assert not set(unclear_words()) & set(vocabulary())


def test_word_tables_name_only_materials_that_are_there() -> None:
    keys = set(load_materials())
    assert {key for choices in unclear_words().values() for key in choices} <= keys
    assert {key for marked in harm_words().values() for key in marked.values()} <= keys
    kinds = {material.kind for material in load_materials().values()}
    for row in read_rows(PACKAGE, "data/cautions.csv"):
        assert set(row["for"].split("|")) <= keys | kinds, row


def test_words_of_harm_mark_only_harmful_materials() -> None:
    exempt = {"hair"}  # dog and cat hair is allowed, droppings are not
    for word, marked in harm_words().items():
        for key in set(marked.values()) - exempt:
            assert load_materials()[key].hazard is not None, word


@given(st.text(max_size=30))
def test_any_words_find_materials_or_are_told_the_nearest(words: str) -> None:
    found = candidates(words)
    if len(found) == 1:
        assert find_material(words) is found[0]
    else:
        with pytest.raises(UnknownMaterial):
            find_material(words)
    assert len(suggestions(words)) <= 3


HARMLESS_WORDS = sorted(
    word
    for material in NUMBERED
    if material.hazard is None
    for word in (material.name, *material.words)
)


@given(
    st.sampled_from(["treated", "painted", "blighted", "glossy", "sprayed", "herbicide", "oily"]),
    st.sampled_from(HARMLESS_WORDS),
)
def test_a_word_of_harm_never_leaves_a_harmless_material(mark: str, word: str) -> None:
    assert all(found.hazard for found in candidates(f"{mark} {word}"))


@each_material
def test_a_hazard_says_why_and_what_to_do_instead(material: Material) -> None:
    hazard = material.hazard
    if hazard is None:
        check_allowed(material)
        return
    assert len(hazard.reason) > 20
    assert len(hazard.instead) > 10
    assert (hazard.condition in conditions()) is (hazard.permission is Permission.CONDITIONAL)


def test_every_condition_is_used_and_explained() -> None:
    used = {material.hazard.condition for material in refused_or_conditional() if material.hazard}
    assert used - {""} == set(conditions())
    assert all(condition.question.endswith("?") for condition in conditions().values())


@each_material
def test_whatever_may_go_in_has_numbers(material: Material) -> None:
    refused = material.hazard is not None and material.hazard.permission is Permission.REFUSED
    assert material.has_numbers or refused


def test_kitchen_food_is_marked_as_food() -> None:
    materials = load_materials()
    for key in ("vegetable_scraps", "food_waste_mixed", "banana_fruit", "coffee_grounds"):
        assert materials[key].is_food
    for key in ("leaves_mixed_dry", "horse_manure", "grass_clippings_loose"):
        assert not materials[key].is_food


def test_roles_agree_with_c_to_n_where_it_matters() -> None:
    greens = [m.c_to_n for m in NUMBERED if m.role is Role.SUPPLEMENT]
    browns = [load_materials()[key].c_to_n for key in ("straw_general", "sawdust", "cardboard")]
    assert max(greens) < 20 < min(browns)


@given(st.floats(0.1, 50), st.floats(0.5, 5), st.floats(0.005, 0.2))
def test_a_heavier_pail_means_denser_stuff(stuff_kg: float, pail_kg: float, volume: float) -> None:
    density = stuff_kg / volume
    if 6 <= density <= 2000:
        weighed = bulk_density_from_pail(pail_kg + stuff_kg, pail_kg, volume)
        assert weighed.typical == pytest.approx(density)
        assert weighed.low < weighed.typical < weighed.high


@given(st.floats(0.001, 10), st.floats(0.01, 10), st.floats(0, 1))
def test_drying_gives_back_the_moisture_put_in(dish: float, wet: float, moisture: float) -> None:
    measured = moisture_from_drying(dish, dish + wet, dish + wet * (1 - moisture))
    assert measured.typical == pytest.approx(moisture, abs=1e-9)
    assert measured.low + 1e-9 >= 0
    assert measured.high <= 1


@given(st.floats(0, 1), st.floats(0, 0.9))
def test_the_two_bases_of_a_laboratory_agree(dry_share: float, moisture: float) -> None:
    as_received = dry_share * (1 - moisture)
    found = laboratory_share(as_received, basis="wet", moisture=moisture)
    assert found.typical == pytest.approx(dry_share, abs=1e-9)


def test_the_answers_of_the_squeeze_test_get_wetter() -> None:
    likely = [squeeze_moisture(word).typical for word in squeeze_words()]
    assert likely == sorted(likely)
