"""What must hold for every number, amount and shown value, whatever it is."""

import math
import re

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from heapwright.errors import HeapwrightError, OutOfRange
from heapwright.quantities import (
    Packing,
    TemperatureUnit,
    UnitSystem,
    container_words,
    format_length,
    format_mass,
    format_number,
    format_range,
    format_share,
    format_temperature,
    format_volume,
    format_water,
    from_si,
    fullness_levels,
    fullness_said,
    own_container,
    parse_amount,
    parse_amount_of,
    parse_length_m,
    parse_mass_kg,
    parse_number,
    parse_share,
    parse_temperature_c,
    parse_volume_m3,
    standard_containers,
    to_si,
)
from heapwright.quantities.containers import fullness_words, packing_words, plural_of
from heapwright.quantities.units import units
from heapwright.sources import is_resolvable
from heapwright.tables import Estimate, read_rows

PACKAGE = "heapwright.quantities"
sizes = st.floats(1e-3, 1e5)
systems = st.sampled_from(list(UnitSystem))


@given(st.floats(-1e8, 1e8))
def test_parse_number_reads_back_what_is_written(value: float) -> None:
    assert parse_number(f"{value:.6f}") == pytest.approx(value, abs=1e-6)


@given(st.integers(0, 999), st.integers(0, 99))
def test_decimal_comma_and_point_read_alike(whole: int, tenths: int) -> None:
    assert parse_number(f"{whole},{tenths:02d}") == parse_number(f"{whole}.{tenths:02d}")


@given(st.integers(0, 50), st.integers(1, 15), st.integers(2, 16))
def test_fractions_add_their_parts(whole: int, top: int, bottom: int) -> None:
    assert parse_number(f"{whole} {top}/{bottom}") == pytest.approx(whole + top / bottom)


@given(st.sampled_from(sorted(units())), st.floats(1e-6, 1e6))
def test_conversion_there_and_back_is_the_same(unit: str, value: float) -> None:
    assert from_si(to_si(value, unit), unit) == pytest.approx(value, rel=1e-12)


@given(st.floats(-40, 100), st.sampled_from(list(TemperatureUnit)))
def test_temperature_shown_reads_back_within_half_a_degree(
    temperature_c: float, unit: TemperatureUnit
) -> None:
    shown = format_temperature(temperature_c, unit)
    assert parse_temperature_c(shown, unit.other) == pytest.approx(temperature_c, abs=0.5 + 1e-9)


@given(sizes, systems)
def test_mass_volume_and_length_shown_read_back_within_their_digits(
    value: float, system: UnitSystem
) -> None:
    assert parse_mass_kg(format_mass(value, system)) == pytest.approx(value, rel=0.051)
    assert parse_volume_m3(format_volume(value, system)) == pytest.approx(value, rel=0.051)
    assert parse_length_m(format_length(value, system)) == pytest.approx(value, rel=0.051)
    assert parse_volume_m3(format_water(value, system)) == pytest.approx(value / 1000, rel=0.051)


@given(st.floats(0, 1))
def test_share_shown_reads_back_within_its_digits(share: float) -> None:
    assert parse_share(format_share(share)) == pytest.approx(share, abs=0.005 + 1e-9)


@given(st.floats(1e-6, 1e6))
def test_format_number_never_claims_more_than_two_digits(value: float) -> None:
    digits = format_number(value).replace(".", "").lstrip("0").rstrip("0")
    assert len(digits) <= 2


@given(st.floats(0, 100), st.floats(0, 100), st.floats(0, 100))
def test_format_range_names_both_ends_and_the_likely_value(a: float, b: float, c: float) -> None:
    low, typical, high = sorted((a, b, c))
    text = format_range(Estimate(low, typical, high))
    if format_number(low) == format_number(high):
        assert text == format_number(typical)
    else:
        assert (
            text
            == f"{format_number(low)} to {format_number(high)}, likely {format_number(typical)}"
        )


@given(st.sampled_from(sorted(container_words())), st.integers(1, 20))
def test_every_word_of_every_container_is_read(word: str, count: int) -> None:
    amount, container = parse_amount(f"{count} {word}"), container_words()[word]
    if amount.container is None:  # "2 cubic yards" is a volume as well as a container
        assert amount.given_volume_m3 == pytest.approx(count * container.volume_m3)
    else:
        assert (amount.container, amount.count) == (container, count)


@given(
    st.sampled_from(sorted(standard_containers())),
    st.sampled_from(sorted(fullness_words())),
    st.sampled_from(sorted(packing_words())),
)
def test_fullness_and_packing_words_are_read_in_any_place(
    name: str, fullness: str, packing: str
) -> None:
    amount = parse_amount(f"2 {name}, {fullness}, {packing}")
    assert amount.fullness == fullness_words()[fullness]
    assert amount.packing is packing_words()[packing]
    assert amount.fullness_said
    volume = amount.volume_m3
    assert volume is not None
    nominal = 2 * standard_containers()[name].volume_m3
    assert volume.typical == pytest.approx(nominal * fullness_words()[fullness].typical)


@given(st.integers(1, 9), st.integers(1, 9))
def test_a_fraction_of_a_container_holds_that_fraction(top: int, more: int) -> None:
    bottom = top + more
    volume = parse_amount(f"{top}/{bottom} of a wheelbarrow").volume_m3
    assert volume is not None
    assert volume.typical == pytest.approx(to_si(6, "ft3") * top / bottom)
    assert volume.low < volume.typical < volume.high


@pytest.mark.parametrize(
    ("percent", "level"), [(100, "level"), (75, "three quarters"), (50, "half")]
)
def test_a_share_said_has_the_range_of_the_word_for_it(percent: int, level: str) -> None:
    said, word = fullness_said(percent / 100), fullness_levels()[level]
    assert (said.low, said.typical, said.high) == pytest.approx((word.low, word.typical, word.high))


@given(st.floats(0.001, 1.3))
def test_a_share_said_is_never_nothing_and_surely_not_exact(share: float) -> None:
    said = fullness_said(share)
    assert 0 < said.low < said.typical == share < said.high


@pytest.mark.parametrize("share", [0.0, -0.2])
def test_an_empty_container_is_refused(share: float) -> None:
    with pytest.raises(OutOfRange, match="An empty container"):
        fullness_said(share)


READERS = {
    "amount": parse_amount,
    "number": parse_number,
    "share": parse_share,
    "mass": parse_mass_kg,
    "volume": parse_volume_m3,
    "length": parse_length_m,
    "temperature": lambda words: parse_temperature_c(words, TemperatureUnit.C),
}


def read_or_told(kind: str, text: str) -> str:
    try:
        READERS[kind](text)
    except HeapwrightError as told:
        return told.sentence()
    return "read"


@pytest.mark.parametrize("kind", READERS)
@given(text=st.text(max_size=40))
def test_any_text_is_read_or_refused_with_a_sentence(kind: str, text: str) -> None:
    answer = read_or_told(kind, text)
    assert answer == "read" or answer.endswith("Nothing was saved.")


@given(
    st.text(alphabet=st.characters(categories=["Ll"], max_codepoint=127), min_size=3, max_size=12),
    st.floats(0.001, 1.0),
)
def test_own_container_comes_before_the_shipped_ones(name: str, volume_m3: float) -> None:
    assume(name not in fullness_words() and name not in packing_words())
    assume(read_or_told("amount", f"2 {name}") != "read" or name in container_words())
    own = own_container(name, volume_m3)
    assert parse_amount(f"2 {name}", [own]).container == own


def test_amount_and_material_come_apart() -> None:
    for text, count, packing, material in (
        ("2 pails of coffee grounds", 2, Packing.LOOSE, "coffee grounds"),
        ("1 1/2 leaf bags shredded leaves", 1.5, Packing.SHREDDED, "leaves"),
        ("2 leaf bags of dead leaves pressed", 2, Packing.PRESSED, "dead leaves pressed"),
        ("3 kg straw", 1, Packing.LOOSE, "straw"),
    ):
        amount, words = parse_amount_of(text)
        assert (amount.count, amount.packing, words) == (count, packing, material)


def test_a_tied_bag_is_rarely_full_and_a_pail_nearly() -> None:
    containers = standard_containers()
    assert containers["30 gal leaf bag"].is_rarely_full
    assert not containers["5-gallon pail"].is_rarely_full
    assert fullness_levels()["tied"].typical < fullness_levels()["nearly full"].typical


def test_words_of_containers_belong_to_one_container_each() -> None:
    owners: dict[str, set[str]] = {}
    for container in standard_containers().values():
        for word in {container.name, container.plural, *container.words}:
            owners.setdefault(word, set()).add(container.name)
    assert {word: names for word, names in owners.items() if len(names) > 1} == {}


@pytest.mark.parametrize(
    "table",
    ["data/units.csv", "data/containers.csv", "data/fullness.csv"],
)
def test_sources_of_the_tables_resolve(table: str) -> None:
    unresolved = {row["source"] for row in read_rows(PACKAGE, table)}
    assert {source for source in unresolved if not is_resolvable(source)} == set()


def test_values_that_are_not_finite_are_shown_as_not_known() -> None:
    for value in (math.nan, math.inf, -math.inf):
        for shown in (
            format_temperature(value, UnitSystem.US, both=True),
            format_volume(value, UnitSystem.US),
            format_share(value),
            format_number(value),
            format_mass(value, UnitSystem.METRIC),
        ):
            assert shown == "not known"


def test_plural_of_follows_english() -> None:
    assert [plural_of(name) for name in ("pail", "box", "caddy", "tray", "bench")] == [
        "pails", "boxes", "caddies", "trays", "benches",
    ]  # fmt: skip


def test_shown_texts_hold_no_hyphen_for_a_minus() -> None:
    assert format_temperature(-3.0, TemperatureUnit.C) == "−3 °C"
    assert not re.search("-", format_number(-3.4))
