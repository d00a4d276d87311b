"""Materials that must not go in, unclear words, and measurements that cannot be true."""

import pytest

from heapwright.errors import NotForCompost, NotUnderstood, OutOfRange, UnknownMaterial
from heapwright.materials.hazards import (
    BIOASSAY_PASSED,
    DRIED_AND_PROVEN_HEAT,
    PROVEN_HEAT,
    check_allowed,
    conditions,
)
from heapwright.materials.measured import (
    bulk_density_from_pail,
    laboratory_share,
    moisture_from_drying,
    squeeze_moisture,
)
from heapwright.materials.search import SeveralMaterials, find_material
from heapwright.materials.table import load_materials
from heapwright.materials.types import Permission

REFUSED = [
    ("meat", "meat_raw"),
    ("bones", "bones"),
    ("chicken bones", "bones"),
    ("cheese", "dairy_milk"),
    ("cooking oil", "oils_fats"),
    ("greasy cardboard", "oils_fats"),
    ("dog poo", "pet_waste"),
    ("cat litter", "pet_waste"),
    ("leaves with dog poo", "pet_waste"),
    ("treated wood", "treated_wood"),
    ("pressure-treated sawdust", "treated_wood"),
    ("treated wood chips", "treated_wood"),
    ("treatd wood chips", "treated_wood"),
    ("wood chips from railway sleepers", "treated_wood"),
    ("sawdust from plywood", "treated_wood"),
    ("glossy magazine", "glossy_paper"),
    ("waxed cardboard", "glossy_paper"),
    ("coal ash", "coal_charcoal_ash"),
    ("charcoal", "coal_charcoal_ash"),
    ("barbecue ash", "coal_charcoal_ash"),
    ("sprayed lawn clippings", "treated_grass"),
    ("plastic leaves", "plastic_metal_glass"),
    ("clubroot cabbage", "diseased_lasting"),
]
CONDITIONAL = [
    ("diseased tomato", "diseased_plants", PROVEN_HEAT),
    ("blighted potato tops", "diseased_plants", PROVEN_HEAT),
    ("seeding weeds", "weeds_seeding", PROVEN_HEAT),
    ("bindweed", "weeds_rhizome", DRIED_AND_PROVEN_HEAT),
    ("couch grass", "weeds_rhizome", DRIED_AND_PROVEN_HEAT),
    ("bermuda grass", "weeds_rhizome", DRIED_AND_PROVEN_HEAT),
    ("stolons", "weeds_rhizome", DRIED_AND_PROVEN_HEAT),
    ("herbicide hay", "herbicide_hay_manure", BIOASSAY_PASSED),
    ("treated straw", "herbicide_hay_manure", BIOASSAY_PASSED),
    ("suspect manure", "herbicide_hay_manure", BIOASSAY_PASSED),
    ("black walnut", "black_walnut", "tomato seedling test passed"),
    ("black walnut sawdust", "black_walnut", "tomato seedling test passed"),
]


@pytest.mark.parametrize(("words", "key"), REFUSED)
def test_what_must_not_go_in_is_found_and_refused(words: str, key: str) -> None:
    material = find_material(words)
    assert material.key == key
    with pytest.raises(NotForCompost) as told:
        check_allowed(material, frozenset(conditions()))
    assert material.hazard is not None
    assert material.hazard.reason in told.value.sentence()
    assert material.hazard.instead in told.value.sentence()


@pytest.mark.parametrize(("words", "key", "condition"), CONDITIONAL)
def test_what_may_go_in_on_a_condition_names_it(words: str, key: str, condition: str) -> None:
    material = find_material(words)
    assert material.key == key
    with pytest.raises(NotForCompost) as told:
        check_allowed(material)
    assert condition in told.value.sentence()
    with pytest.raises(NotForCompost):
        check_allowed(material, frozenset({"another condition"}))
    check_allowed(material, frozenset({condition}))


def test_every_exclusion_of_the_trade_is_in_the_table() -> None:
    hazards = {key: m.hazard.permission for key, m in load_materials().items() if m.hazard}
    for key in (
        "meat_raw", "fish_scraps", "bones", "dairy_milk", "oils_fats", "pet_waste", "treated_wood",
        "glossy_paper", "coal_charcoal_ash", "treated_grass", "human_waste", "diseased_lasting",
    ):  # fmt: skip
        assert hazards[key] is Permission.REFUSED, key
    for key in (
        "diseased_plants", "weeds_rhizome", "weeds_seeding", "herbicide_hay_manure",
        "black_walnut", "pig_manure", "food_waste_mixed",
    ):  # fmt: skip
        assert hazards[key] is Permission.CONDITIONAL, key


@pytest.mark.parametrize(
    "words", ["hay", "paper", "manure", "ash", "weeds", "wood", "walnut leaves"]
)
def test_unclear_words_are_asked_back_with_choices(words: str) -> None:
    with pytest.raises(SeveralMaterials) as told:
        find_material(words)
    assert len(told.value.choices) >= 2
    for material in told.value.choices:
        assert material.name in told.value.sentence()


@pytest.mark.parametrize(
    "words",
    ["maple and oak leaves", "leaves and grass", "brown grass cuttings", "coffee and bananas"],
)
def test_two_things_in_one_breath_are_asked_back(words: str) -> None:
    with pytest.raises(SeveralMaterials):
        find_material(words)


def test_unclear_words_offer_the_harmful_meaning_too() -> None:
    for words, key in (
        ("weeds", "weeds_rhizome"),
        ("ash", "coal_charcoal_ash"),
        ("hay", "herbicide_hay_manure"),
        ("wood", "treated_wood"),
        ("manure", "pet_waste"),
    ):
        with pytest.raises(SeveralMaterials) as told:
            find_material(words)
        assert key in {material.key for material in told.value.choices}


def test_an_unknown_material_is_told_the_nearest() -> None:
    with pytest.raises(UnknownMaterial) as told:
        find_material("strwa bails")
    assert told.value.sentence().startswith('No material called "strwa bails". Nearest: ')
    assert "Straw" in told.value.sentence()


@pytest.mark.parametrize("words", ["xyzzy", "plutonium", "???", "12345"])
def test_nonsense_is_refused_without_a_guess(words: str) -> None:
    with pytest.raises(UnknownMaterial) as told:
        find_material(words)
    assert f'No material called "{words}"' in told.value.sentence()


def test_no_words_at_all_are_told_so() -> None:
    with pytest.raises(UnknownMaterial) as told:
        find_material("   ")
    assert "No material was named" in told.value.sentence()


@pytest.mark.parametrize(
    ("full", "empty", "volume"),
    [
        (1.0, 10.0, 0.02),
        (5.0, 5.0, 0.02),
        (5.0, -1.0, 0.02),
        (10.0, 1.0, 0.0),
        (10.0, 1.0, float("nan")),
        (float("inf"), 1.0, 0.02),
        (100.0, 1.0, 0.02),
        (1.01, 1.0, 0.02),
    ],
)
def test_a_pail_that_cannot_be_is_refused(full: float, empty: float, volume: float) -> None:
    with pytest.raises(OutOfRange) as told:
        bulk_density_from_pail(full, empty, volume)
    assert "Nothing was saved." in told.value.sentence()


@pytest.mark.parametrize(
    ("dish", "wet", "dry"),
    [(4, 14, 15), (4, 4, 4), (4, 14, 3), (-1, 14, 6), (4, float("nan"), 6), (14, 4, 6)],
)
def test_a_dried_sample_that_cannot_be_is_refused(dish: float, wet: float, dry: float) -> None:
    with pytest.raises(OutOfRange):
        moisture_from_drying(dish, wet, dry)


def test_an_unknown_squeeze_is_told_the_answers() -> None:
    with pytest.raises(NotUnderstood) as told:
        squeeze_moisture("squishy")
    assert "one or two drops" in told.value.sentence()


def test_a_laboratory_figure_needs_its_basis_and_moisture() -> None:
    with pytest.raises(NotUnderstood):
        laboratory_share(0.02, basis="as is")
    with pytest.raises(OutOfRange) as told:
        laboratory_share(0.02, basis="wet")
    assert "moisture" in told.value.sentence()
    with pytest.raises(OutOfRange) as told:
        laboratory_share(2.4, basis="dry")
    assert "Did you mean 2.40%?" in told.value.sentence()
    with pytest.raises(OutOfRange):
        laboratory_share(0.5, basis="wet", moisture=0.8)
    with pytest.raises(OutOfRange):
        laboratory_share(0.02, basis="wet", moisture=1.0)
