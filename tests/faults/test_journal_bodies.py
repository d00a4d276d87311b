"""What a gardener may get wrong in an entry: told with the field, the value and what is right."""

from __future__ import annotations

from dataclasses import fields as fields_of
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given

from heapwright.errors import HeapwrightError, NotUnderstood, OutOfRange
from heapwright.heap.types import Fill
from heapwright.journal.bodies import checked_body, checked_entry
from heapwright.journal.entries import Entry, EntryKind, GardenSettings, new_entry_id
from heapwright.journal.forms import FORMS, MEASURABLE
from heapwright.materials.types import Material
from heapwright.sources import is_resolvable
from heapwright.tables import parameter_table
from tests.laws.journal_cases import FILL, START, a_lot, journals

BIN = {"key": "one", "name": "One", "width_m": 1.0, "depth_m": 1.0, "height_m": 1.0}
BUILD = {"batch": "a", "name": "A", "bin": "one"}
LINES = [{"lot": "bags", "count": 1}]


@pytest.mark.parametrize(
    "kind, body, said",
    [
        ("garden", {}, "No setting is changed"),
        (
            "garden",
            {"units": "imperial"},
            'Units "imperial" is not known. Choose one of: us, metric',
        ),
        ("garden", {"time_zone": "Mars/Base"}, 'Time zone "Mars/Base" is not known'),
        ("garden", {"time_zone": "../etc"}, 'Time zone "../etc" is not known'),
        ("garden", {"time_zone": 7}, "Time zone 7 is not known"),
        ("garden", {"is_demo": 1}, "Demo 1 is neither yes nor no"),
        ("garden", {"latitude": 91.0}, "latitude lies between -90 and 90 °"),
        ("garden", {"colour": "green"}, 'no field "colour". It has: name, is_demo'),
        ("container", {"key": "a b", "name": "x", "volume_m3": 0.01}, 'Key "a b" is not a key'),
        ("container", {"key": "a", "name": " ", "volume_m3": 0.01}, "Name is empty"),
        ("container", {"key": "a", "name": "x\x00", "volume_m3": 0.01}, "is no letter"),
        ("container", {"key": "a", "name": "x\ud800", "volume_m3": 0.01}, "is no letter"),
        ("container", {"key": "a", "name": "x" * 81, "volume_m3": 0.01}, "81 letters long"),
        ("container", {"key": "a", "name": 7, "volume_m3": 0.01}, "Name 7 is not text"),
        ("container", {"key": "a", "name": "x", "volume_m3": -1}, "between 0.0001 and 10 m3"),
        ("bin", BIN | {"width_m": "1"}, 'Width "1" is not a number'),
        ("bin", BIN | {"width_m": True}, "Width True is not a number"),
        ("bin", BIN | {"width_m": float("nan")}, "Width nan is not a number"),
        ("bin", BIN | {"width_m": 10**400}, "is not a number that can be measured"),
        ("bin", BIN | {"order": 1.5}, "only whole numbers"),
        ("bin", BIN | {"wall": "gold"}, 'Wall "gold" is not known'),
        ("bin", BIN | {"ground": "clouds"}, 'Ground "clouds" is not known'),
        ("bin", BIN | {"shade": 40}, "lies between 0 and 1"),
        ("bin", {"key": "one"}, "lacks: name, width, depth, height"),
        ("bin_gone", {}, "lacks: bin"),
        ("bin_gone", {"bin": "one", "why": ""}, "Why is empty"),
        ("lot", a_lot("bags") | {"count": 2.5}, "only whole numbers"),
        ("lot", a_lot("bags") | {"count": -1}, "Containers -1"),
        ("lot", a_lot("bags") | {"fullness": [0.9, 0.8, 1]}, "the numbers must rise"),
        ("lot", a_lot("bags") | {"fullness": 0.9}, "Give three numbers"),
        ("lot", a_lot("bags") | {"measured": {"colour": [1, 1, 1]}}, 'no field "colour"'),
        (
            "lot",
            a_lot("bags") | {"measured": {"moisture": [6.4, 6.4, 6.4]}},
            "water, as share of wet mass, lies between 0 and 1",
        ),
        ("lot_gone", {"lot": "bags", "count": 0}, "between more than 0 and 10000"),
        ("build", BUILD, "not both or neither"),
        ("build", BUILD | {"lines": LINES, "fill": FILL}, "not both or neither"),
        ("build", BUILD | {"lines": []}, "no material is named"),
        ("build", BUILD | {"lines": "bags"}, "no material is named"),
        ("build", BUILD | {"lines": LINES + LINES}, 'lot "bags" is named twice'),
        ("build", BUILD | {"lines": [{"lot": "bags"}]}, "lacks: containers"),
        (
            "build",
            BUILD | {"fill": FILL | {"moisture": 6.4}},
            "Moisture 6.4. Water, as share of wet mass, lies between 0 and 1",
        ),
        ("build", BUILD | {"fill": FILL | {"volume_m3": 90.0}}, "wet mass per volume 4.22222"),
        ("build", BUILD | {"fill": FILL | {"fast_share": 0.8}}, "more than the whole"),
        ("reading", {"bin": "one"}, "lacks: temperature"),
        ("reading", {"bin": "one", "temperature_c": "hot"}, 'Temperature "hot" is not a number'),
        ("reading", {"bin": "one", "temperature_c": 640}, "Temperature 640 °C (1184 °F)"),
        ("reading", {"bin": "one", "temperature_c": 58, "where": "moon"}, "Choose one of: core"),
        ("look", {"bin": "one"}, "Nothing was seen"),
        ("look", {"bin": "one", "pests": "rats"}, 'Pests "rats" is not a list'),
        ("look", {"bin": "one", "pests": ["lions"]}, 'Pests "lions" is not known'),
        ("turn", {"bin": "one", "how": "move"}, "not where to"),
        ("turn", {"bin": "one", "how": "move", "to_bin": "one"}, "into the bin it was in"),
        ("turn", {"bin": "one", "how": "stir", "to_bin": "two"}, "stays in its bin"),
        ("wet", {"bin": "one", "water_kg": -5}, "Water -5 kg"),
        ("wet", {"bin": "one", "water_kg": 1e6}, "Water 1e+06 kg"),
        ("add", {"bin": "one"}, "lacks: materials"),
        ("cover", {"bin": "one", "cover": "snow"}, 'Cover "snow" is not known'),
        ("use", {"bin": "one"}, "How much compost was taken out is missing"),
        ("use", {"bin": "one", "volume_m3": 0}, "How much compost was taken out is missing"),
        ("note", {"text": ""}, "Note is empty"),
        ("note", {"text": "x" * 4001}, "there is room for 4000"),
        ("undo", {"of": "last"}, "is not an entry's id"),
        ("correct", {"of": "a" * 32}, "changes nothing"),
        ("correct", {"of": "a" * 32, "at": "noon"}, 'New time "noon" is not a time'),
        ("correct", {"of": "a" * 32, "body": 5}, "not a set of named fields"),
        ("wet", [1], "not a set of named fields"),
    ],
)
def test_checked_body_says_what_is_wrong(kind: str, body: Any, said: str):
    with pytest.raises((NotUnderstood, OutOfRange)) as caught:
        checked_body(EntryKind(kind), body)
    assert said.lower() in caught.value.sentence().lower()


@given(journals())
def test_checked_entry_checked_again_is_the_same(entries):
    assert [checked_entry(entry) for entry in entries] == entries


def test_checked_body_keeps_text_as_written_even_if_it_looks_like_a_formula():
    assert checked_body(EntryKind.NOTE, {"text": " =1+1\r\n+2 "}) == {"text": "=1+1\n+2"}


def test_checked_body_orders_fields_and_turns_whole_numbers_into_measures():
    body = checked_body(EntryKind.READING, {"temperature_c": 58, "bin": "one"})
    assert list(body) == ["bin", "temperature_c"]
    assert isinstance(body["temperature_c"], float)


def test_checked_entry_refuses_what_has_not_happened():
    now = datetime(2026, 5, 1, tzinfo=UTC)
    entry = Entry(
        new_entry_id(), EntryKind.CURE, now + timedelta(hours=1), {"bin": "one"}, now, origin="page"
    )
    with pytest.raises(OutOfRange, match="2026-05-01 01:00 UTC has not come yet"):
        checked_entry(entry, now=now)
    late = {"of": "a" * 32, "at": "2027-05-01T00:00:00+00:00"}
    with pytest.raises(OutOfRange, match="2027-05-01 00:00 UTC has not come yet"):
        checked_entry(
            Entry(new_entry_id(), EntryKind.CORRECT, now, late, now, origin="page"), now=now
        )
    # Ten minutes are forgiven to another device's clock.
    assert checked_entry(replace(entry, at=now + timedelta(minutes=10)), now=now).kind == "cure"


@pytest.mark.parametrize(
    "change, said",
    [
        ({"id": "A" * 32}, "is not an entry's id"),
        ({"at": datetime(2026, 5, 1)}, "has no time zone"),
        ({"written_at": datetime(2026, 5, 1)}, "has no time zone"),
        ({"kind": "song"}, 'Kind of entry "song" is not known'),
        ({"origin": "moon"}, 'Origin "moon" is not known'),
        ({"author": "\x00"}, "is no letter"),
    ],
)
def test_checked_entry_says_what_is_wrong_around_the_body(change: dict[str, Any], said: str):
    entry = Entry("a" * 32, EntryKind.CURE, START, {"bin": "one"}, START, origin="page")
    with pytest.raises(HeapwrightError) as caught:
        checked_entry(replace(entry, **change))
    assert said in caught.value.sentence()


def test_forms_hold_every_kind_and_the_fields_of_what_they_become():
    assert FORMS.keys() == set(EntryKind)
    assert FORMS[EntryKind.GARDEN].keys() == {field.name for field in fields_of(GardenSettings)}
    checked_body(EntryKind.BUILD, BUILD | {"fill": FILL | {"temperature_c": None}})
    assert FILL.keys() | {"temperature_c"} == {field.name for field in fields_of(Fill)}
    properties = {field.name for field in fields_of(Material)} | {"container_mass_kg"}
    assert MEASURABLE.keys() <= properties


@pytest.mark.parametrize("table", ["data/limits.csv", "data/defaults.csv"])
def test_tables_of_the_journal_hold_rising_ranges_with_a_source(table: str):
    for row in parameter_table("heapwright.journal", table).values():
        assert row.low <= row.typical <= row.high
        assert is_resolvable(row.source)
