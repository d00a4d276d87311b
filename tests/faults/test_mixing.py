"""Parts, goals and documents that cannot be true: each gets a sentence that names the value."""

import json
import math
from dataclasses import replace

import pytest

from heapwright.errors import HeapwrightError, NoRecipe, NotUnderstood, OutOfRange
from heapwright.mixing import balance, explicit, solve
from heapwright.mixing.types import Part

GOOD = Part("grass", 10, 0.77, 0.024, 0.45, 208, 0.1)
GOOD_ROW = {
    "name": "A",
    "mass_kg": 10,
    "moisture": 0.77,
    "nitrogen_dry": 0.024,
    "carbon_dry": 0.45,
}


def test_moisture_of_640_percent_is_refused_with_a_hint() -> None:
    with pytest.raises(OutOfRange) as told:
        balance.mix([replace(GOOD, moisture=6.4)])
    text = str(told.value)
    assert "Grass: moisture 6.4 (640 %)" in text
    assert "share of the wet weight" in text
    assert "Did you mean 0.64 (64 %)?" in text
    assert "Nothing was saved." in text


@pytest.mark.parametrize(
    ("field", "value", "word"),
    [
        ("moisture", -0.1, "-0.1"),
        ("moisture", math.nan, "finite"),
        ("mass_kg", -1.0, "below 0"),
        ("mass_kg", math.inf, "finite"),
        ("mass_kg", 1e9, "home heap"),
        ("nitrogen_dry", 0.6, "urea"),
        ("nitrogen_dry", 2.4, "0.024"),
        ("carbon_dry", 45.0, "0.45"),
        ("carbon_dry", 0.95, "together"),
        ("ash_dry", -1.0, "-1"),
        ("bulk_density_kg_m3", 0.0, "above 0"),
        ("bulk_density_kg_m3", 9000.0, "rock"),
        ("bulk_density_kg_m3", math.nan, "finite"),
        ("fast_share", 1.5, "volatile"),
    ],
)
def test_impossible_property_is_refused_by_name(field: str, value: float, word: str) -> None:
    with pytest.raises(HeapwrightError) as told:
        balance.mix([replace(GOOD, **{field: value})])
    assert "Grass" in str(told.value)
    assert word in str(told.value)


def test_no_parts_and_no_mass_are_refused() -> None:
    with pytest.raises(OutOfRange, match="nothing to mix"):
        balance.mix([])
    with pytest.raises(OutOfRange, match="weigh 0 kg"):
        balance.mix([replace(GOOD, mass_kg=0.0)])


@pytest.mark.parametrize("target", [0.0, 1.0, 1.5, -0.1, math.nan])
def test_impossible_target_moisture_is_refused(target: float) -> None:
    with pytest.raises(HeapwrightError, match="target moisture"):
        balance.mix([GOOD], target_moisture=target)


def test_water_alone_has_no_moisture_goal() -> None:
    with pytest.raises(OutOfRange, match="no dry matter"):
        balance.mix([Part("water", 10, 1.0, 0.0, 0.0)], target_moisture=0.5)


def test_too_dense_a_mix_says_that_no_air_is_left() -> None:
    mixture = balance.mix([replace(GOOD, bulk_density_kg_m3=1500.0)])
    assert mixture.free_air_space == 0.0
    assert "no air is left" in mixture.notes[0]


def row(**changes: object) -> dict[str, object]:
    kept = {**GOOD_ROW, **changes}
    return {key: value for key, value in kept.items() if value is not None}


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"moisture": 77}, "Did you mean 0.77 (77 %)?"),
        ({"moisture": "77%"}, "without quotes"),
        ({"moisture": True}, "must be a number"),
        ({"moisture": None}, "moisture is missing"),
        ({"nitrogen_dry": 2.4}, "Did you mean 0.024 (2.4 %)?"),
        ({"nitrogen_dry": None}, "Two of the three"),
        ({"c_to_n": 40}, "disagree"),
        ({"carbon_dry": None, "c_to_n": 0}, "above 0"),
        ({"carbon_dry": None, "c_to_n": 60}, "carbon (nitrogen times c_to_n)"),
        ({"mass_kg": None}, "amount is missing"),
        ({"mass_kg": -3}, "below 0"),
        ({"mass_kg": 10**400}, "finite"),
        ({"mass_kg": None, "volume_m3": 1}, "without bulk_density_kg_m3"),
        ({"mass_kg": None, "volume_m3": -1, "bulk_density_kg_m3": 200}, "below 0"),
        ({"volume_m3": 1, "bulk_density_kg_m3": 200}, "One of them is enough"),
        ({"humidity": 0.5}, '"humidity"'),
        ({"name": 7}, "not a word"),
    ],
)
def test_bad_value_in_a_document_is_named(changes: dict[str, object], said: str) -> None:
    with pytest.raises(HeapwrightError) as told:
        explicit.read_explicit({"parts": [row(**changes)]})
    assert said in str(told.value)


@pytest.mark.parametrize(
    ("document", "said"),
    [
        ([], "braces"),
        ({}, "no list"),
        ({"parts": []}, "nothing to mix"),
        ({"parts": [3]}, "Part 1"),
        ({"parts": [GOOD_ROW], "basis": "as is"}, "basis"),
        ({"parts": [GOOD_ROW], "target_moisture": 55}, "Did you mean 0.55 (55 %)?"),
        ({"parts": [GOOD_ROW], "water_kg": -1}, "below 0"),
        ({"parts": [GOOD_ROW], "target": 0.5}, '"target"'),
        ({"parts": [row(moisture=1.0)], "basis": "wet"}, "water_kg"),
    ],
)
def test_bad_document_is_refused(document: object, said: str) -> None:
    with pytest.raises(HeapwrightError) as told:
        explicit.read_explicit(document)
    assert said in str(told.value)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "Line 1"),
        ("{parts: 1}", "Line 1"),
        ('{"parts": [{"mass_kg": NaN}]}', "finite"),
        ('{"parts": [], "parts": []}', "twice"),
        ("[" * 100_000, "JSON"),
        ('{"parts": [{"name": "\\ud83d"}]}', "half a letter"),
        ('{"parts": [{"mass_kg": ' + "9" * 5000 + "}]}", "too many digits"),
    ],
)
def test_text_that_is_no_clear_document_is_refused(text: str, said: str) -> None:
    with pytest.raises(NotUnderstood, match=said):
        explicit.read_explicit_text(text)


def test_unknown_values_are_empty_with_a_note_and_stay_valid_json() -> None:
    document = {"parts": [row(nitrogen_dry=0.0)]}
    told = explicit.answer(explicit.read_explicit(document).mixture())
    assert told["c_to_n"] is None
    assert told["volume_m3"] is None
    assert told["water_to_add_kg"] is None
    notes = " ".join(json.loads(json.dumps(told, allow_nan=False))["notes"])
    assert "no nitrogen" in notes
    assert "bulk density" in notes
    assert "target_moisture" in notes


def test_amount_on_the_same_side_of_the_goal_has_no_recipe() -> None:
    wet = Part("pulp", 0, 0.9, 0.01, 0.4)
    with pytest.raises(NoRecipe, match=r"same side.*drier"):
        solve.amount_for_moisture([GOOD], wet, 0.6)
    green = Part("clover", 0, 0.8, 0.04, 0.4)
    with pytest.raises(NoRecipe, match=r"same side.*carbon"):
        solve.amount_for_c_to_n([GOOD], green, 30)
    brown = Part("bark", 0, 0.5, 0.0, 0.5)
    straw = Part("straw", 5, 0.1, 0.005, 0.45)
    with pytest.raises(NoRecipe, match=r"no nitrogen.*same side.*nitrogen"):
        solve.amount_for_c_to_n([straw], brown, 30)


def test_two_unknowns_that_cannot_meet_both_goals_have_no_recipe() -> None:
    leaves = Part("leaves", 0, 0.35, 0.0075, 0.5)
    with pytest.raises(NoRecipe, match="same proportion"):
        solve.amounts_for_both([GOOD], (leaves, leaves), 0.6, 30)
    straw = Part("straw", 10, 0.1, 0.005, 0.45)
    water = Part("water", 0, 1.0, 0.0, 0.0)
    with pytest.raises(NoRecipe, match="leaves"):
        solve.amounts_for_both([straw], (leaves, water), 0.6, 30)


def test_supplement_without_nitrogen_is_refused() -> None:
    with pytest.raises(NoRecipe, match="no nitrogen"):
        solve.nitrogen_supplement([GOOD], 30, 0.0)
    with pytest.raises(OutOfRange, match="C:N"):
        solve.nitrogen_supplement([GOOD], -3, 0.46)
