"""Words and numbers a person may mistype: each gets a sentence that says what would be right."""

import pytest

from heapwright.errors import AlreadyThere, NotUnderstood, OutOfRange
from heapwright.quantities import (
    TemperatureUnit,
    UnitSystem,
    own_container,
    parse_amount,
    parse_amount_of,
    parse_container,
    parse_length_m,
    parse_mass_kg,
    parse_number,
    parse_share,
    parse_temperature_c,
    parse_volume_m3,
)

C, F = TemperatureUnit.C, TemperatureUnit.F


def test_a_reading_of_hot_is_told_what_a_temperature_is() -> None:
    with pytest.raises(NotUnderstood) as told:
        parse_temperature_c("hot", F, what="Reading 41 of 60")
    assert told.value.sentence() == (
        'Reading 41 of 60: "hot" is not a number. Write the temperature, such as 58 or 58.5, or '
        "with its unit: 137 F. Nothing was saved."
    )


def test_137_read_as_celsius_is_asked_back_as_fahrenheit() -> None:
    with pytest.raises(OutOfRange) as told:
        parse_temperature_c("137", C)
    assert "Temperature 137 °C" in told.value.sentence()
    assert "Did you mean 137 °F (58 °C)?" in told.value.sentence()
    assert "call the fire service" in told.value.sentence()


@pytest.mark.parametrize(("text", "unit"), [("300 F", F), ("400", C), ("101 °C", F), ("-90", C)])
def test_impossible_temperatures_are_refused(text: str, unit: TemperatureUnit) -> None:
    with pytest.raises(OutOfRange):
        parse_temperature_c(text, unit)


@pytest.mark.parametrize("text", ["", "nan", "inf", "58 K", "58 X", "58 60", "=A1+2", "warm 58"])
def test_what_is_no_temperature_is_refused(text: str) -> None:
    with pytest.raises((NotUnderstood, OutOfRange)) as told:
        parse_temperature_c(text, C)
    assert "Nothing was saved." in told.value.sentence()


@pytest.mark.parametrize(
    ("text", "unit", "celsius"),
    [
        ("137F", C, 58.333),
        ("58.5 °C", F, 58.5),
        ("58,5", C, 58.5),
        ("137", F, 58.333),
        ("14 deg F", C, -10.0),
        ("58 degrees", C, 58.0),
        ("58 ℃", F, 58.0),
        ("−5", C, -5.0),
    ],
)
def test_the_usual_ways_to_write_a_temperature_are_read(
    text: str, unit: TemperatureUnit, celsius: float
) -> None:
    assert parse_temperature_c(text, unit) == pytest.approx(celsius, abs=0.0005)


def test_moisture_of_640_percent_is_asked_back_as_64() -> None:
    with pytest.raises(OutOfRange) as told:
        parse_share("640 %")
    assert told.value.sentence() == (
        "Moisture 640 %: water is a share of the wet weight, so it lies between 0 and 100 %. "
        "Did you mean 64 %? Nothing was saved."
    )


@pytest.mark.parametrize(
    ("text", "share"), [("64 %", 0.64), ("0.64", 0.64), ("64", 0.64), ("1 %", 0.01)]
)
def test_shares_are_read_with_and_without_a_sign(text: str, share: float) -> None:
    assert parse_share(text) == pytest.approx(share)


@pytest.mark.parametrize("text", ["1", "wet", "", "-3 %", "nan %", "64 kg", "1e9"])
def test_shares_that_are_unclear_or_untrue_are_refused(text: str) -> None:
    with pytest.raises((NotUnderstood, OutOfRange)):
        parse_share(text)


@pytest.mark.parametrize("text", ["1,500", "12,000"])
def test_a_comma_before_three_digits_is_asked_back(text: str) -> None:
    with pytest.raises(NotUnderstood) as told:
        parse_number(text)
    assert "can be read as" in told.value.sentence()


@pytest.mark.parametrize(
    "text", ["", "nan", "inf", "1e400", "1e12", "1/0", "3 apples", "--3", "1.2.3"]
)
def test_what_is_no_number_is_refused(text: str) -> None:
    with pytest.raises((NotUnderstood, OutOfRange)):
        parse_number(text)


@pytest.mark.parametrize(
    "text", ["", "3", "-3 kg", "3 kg 2", "3 kg of", "lots", "5 gal", "nan kg", "1e30 kg"]
)
def test_what_is_no_mass_is_refused(text: str) -> None:
    with pytest.raises((NotUnderstood, OutOfRange)):
        parse_mass_kg(text)


@pytest.mark.parametrize("text", ["3", "3 kg", "-1 L", "big"])
def test_what_is_no_volume_is_refused(text: str) -> None:
    with pytest.raises((NotUnderstood, OutOfRange)):
        parse_volume_m3(text)


@pytest.mark.parametrize("text", ["3", "3 m3", "-1 m", "wide"])
def test_what_is_no_length_is_refused(text: str) -> None:
    with pytest.raises((NotUnderstood, OutOfRange)):
        parse_length_m(text)


def test_a_bare_number_takes_the_unit_of_the_person() -> None:
    assert parse_length_m("36", UnitSystem.US) == pytest.approx(0.9144)
    assert parse_length_m("90", UnitSystem.METRIC) == pytest.approx(0.90)


@pytest.mark.parametrize(
    "text", ["0 pails", "-2 pails", "nan pails", "1e9 pails", "100000 kg", "lots", "", "3"]
)
def test_absurd_amounts_are_refused(text: str) -> None:
    with pytest.raises((NotUnderstood, OutOfRange)) as told:
        parse_amount(text)
    assert "Nothing was saved." in told.value.sentence()


@pytest.mark.parametrize(
    ("text", "choice"), [("2 bags", "30 gal leaf bag"), ("2 buckets", "10 L bucket")]
)
def test_unclear_containers_are_asked_back_with_choices(text: str, choice: str) -> None:
    with pytest.raises(NotUnderstood) as told:
        parse_amount(text)
    assert choice in told.value.sentence()


def test_fullness_above_the_brim_is_asked_back() -> None:
    with pytest.raises(OutOfRange):
        parse_amount("2 pails, 300 % full")


@pytest.mark.parametrize("volume_m3", [0.0, -1.0, float("nan"), float("inf"), 1e6])
def test_own_container_of_no_size_is_refused(volume_m3: float) -> None:
    with pytest.raises(OutOfRange):
        own_container("green tub", volume_m3)


def test_own_container_needs_a_name_that_is_free() -> None:
    tub = own_container("green tub", 0.065)
    with pytest.raises(AlreadyThere):
        own_container("Green  tub", 0.070, existing=[tub])
    with pytest.raises(OutOfRange):
        own_container("  ", 0.070)


@pytest.mark.parametrize("words", ["bag", "spaceship", "", "leaf bag of gold"])
def test_what_is_no_one_container_is_refused(words: str) -> None:
    with pytest.raises(NotUnderstood) as told:
        parse_container(words)
    assert "Nothing was saved." in told.value.sentence()


def test_a_container_is_found_by_its_words_or_its_own_size() -> None:
    assert parse_container("a paper leaf bag").name == "30 gal leaf bag"
    assert parse_container("25 L tub").volume_m3 == pytest.approx(0.025)
    assert parse_container("bucket", system=UnitSystem.METRIC).name == "10 L bucket"


def test_an_amount_that_cannot_be_is_told_even_with_a_material_behind_it() -> None:
    with pytest.raises(OutOfRange):
        parse_amount_of("90000 pails leaves")
