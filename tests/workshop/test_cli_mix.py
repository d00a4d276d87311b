"""`heapwright mix`: a file of explicit numbers, and parts in people's words."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema_rs  # comes with schemathesis
import pytest

from heapwright.cli.mix_schema import EXAMPLE, MIX
from heapwright.errors import HeapwrightError
from heapwright.mixing.explicit import read_explicit
from tests.workshop.cli_terminal import Terminal, a_terminal, with_bins

#: The document of the issue that asked for this command, letter for letter.
ASKED = (
    '{"parts": [{"name": "A", "mass_kg": 10, "moisture": 0.77, "nitrogen_dry": 0.024, '
    '"carbon_dry": 0.45, "bulk_density_kg_m3": 208}], "target_moisture": 0.55}'
)


@pytest.fixture
def terminal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Terminal:
    return a_terminal(tmp_path, monkeypatch)


def test_explicit_numbers_are_answered_in_si(terminal: Terminal, tmp_path: Path) -> None:
    file = tmp_path / "mix.json"
    file.write_text(ASKED, encoding="utf-8")
    answer = terminal.json("mix", str(file))
    assert answer["c_to_n"] == pytest.approx(0.45 / 0.024)
    assert answer["moisture"] == pytest.approx(0.77)
    assert answer["mass_kg"] == pytest.approx(10.0)
    assert answer["volume_m3"] == pytest.approx(10 / 208)
    assert answer["bulk_density_kg_m3"] == pytest.approx(208.0)
    # 2.3 kg dry at 55 % hold 2.3 x 0.55 / 0.45 kg of water; 7.7 kg are in it already.
    assert answer["water_to_add_kg"] == pytest.approx(2.3 * 0.55 / 0.45 - 7.7)
    assert 0.0 < answer["free_air_space"] < 1.0


def test_dash_reads_the_same_from_standard_input(terminal: Terminal, tmp_path: Path) -> None:
    file = tmp_path / "mix.json"
    file.write_text("\ufeff" + ASKED, encoding="utf-8")  # a mark that some editors put in front
    assert terminal.json("mix", "-", typed=ASKED) == terminal.json("mix", str(file))


def test_c_to_n_stands_for_nitrogen_or_carbon(terminal: Terminal) -> None:
    part = json.loads(ASKED)["parts"][0]
    answers = []
    for gone in ("nitrogen_dry", "carbon_dry"):
        changed = {name: value for name, value in part.items() if name != gone} | {"c_to_n": 18.75}
        answers.append(terminal.json("mix", "-", typed=json.dumps({"parts": [changed]})))
    assert [answer["c_to_n"] for answer in answers] == pytest.approx([18.75, 18.75])
    assert answers[0]["water_to_add_kg"] is None


def test_wet_basis_takes_percentages_as_they_are(terminal: Terminal) -> None:
    part = json.loads(ASKED)["parts"][0] | {"nitrogen_dry": 0.024 * 0.23, "carbon_dry": 0.45 * 0.23}
    wet = terminal.json("mix", "-", typed=json.dumps({"parts": [part], "basis": "wet"}))
    assert wet["c_to_n"] == pytest.approx(18.75)


def test_explicit_numbers_are_told_in_words_too(terminal: Terminal) -> None:
    told = terminal.tell("mix", "-", "--units", "metric", typed=ASKED)
    assert "C:N        18.8" in told
    assert "Moisture   77 %" in told
    assert "Density    210 kg/m³" in told
    assert "Water      none" in told
    assert "dry brown" in told


def test_words_are_answered_with_ranges(terminal: Terminal) -> None:
    told = terminal.tell(
        "mix",
        *("3 leaf bags leaves", "2 pails clippings", "1 pail of kitchen scraps"),
        *("--target-moisture", "60%"),
    )
    for line in ("C:N", "Moisture", "Weight", "Volume", "Density", "Air space"):
        shown = next(one for one in told.splitlines() if one.startswith(line))
        assert " to " in shown
        assert ", likely " in shown
    assert "to bring it to 60 %" in told
    assert "Kitchen scraps" in told


def test_words_follow_the_gardens_units(terminal: Terminal) -> None:
    with_bins(terminal)
    assert "lb/yd³" in terminal.tell("mix", "3 leaf bags leaves", "2 pails clippings")
    terminal.tell("setup", "--units", "metric")
    assert "kg/m³" in terminal.tell("mix", "3 leaf bags leaves", "2 pails clippings")


def test_words_answer_the_same_names_as_a_file(terminal: Terminal) -> None:
    answer = terminal.json("mix", "3 leaf bags leaves", "2 pails clippings")
    assert set(terminal.json("mix", "-", typed=ASKED)) - {"notes"} <= set(answer)
    band = answer["mixture"]["c_to_n"]
    assert band["low"] < answer["c_to_n"] < band["high"]


def test_schema_is_sound_and_its_example_is_answered(terminal: Terminal) -> None:
    schema = json.loads(terminal.tell("schema"))
    assert jsonschema_rs.meta.is_valid(schema)
    assert jsonschema_rs.is_valid(schema, EXAMPLE)
    assert terminal.json("mix", "-", typed=json.dumps(EXAMPLE)) == terminal.json(
        "mix", "-", typed=ASKED
    )


def _part(**changes: Any) -> dict[str, Any]:
    part: dict[str, Any] = EXAMPLE["parts"][0] | changes
    return {name: value for name, value in part.items() if value is not None}


@pytest.mark.parametrize(
    "document",
    [
        {"parts": [_part()]},
        {"parts": [_part(mass_kg=None, volume_m3=0.05)], "water_kg": 2},
        {"parts": [_part(nitrogen_dry=0.005, carbon_dry=0.1)], "basis": "wet"},
        {"parts": [_part(nitrogen_dry=None, c_to_n=18)]},
        {"parts": []},
        {"parts": [_part()], "shovels": 2},
        {"parts": [_part(colour="green")]},
        {"parts": [_part(moisture=6.4)]},
        {"parts": [_part(moisture=None)]},
        {"parts": [_part(mass_kg=None)]},
        {"parts": [_part(nitrogen_dry=None)]},
        {"parts": [_part(mass_kg="ten")]},
        {"parts": [_part(mass_kg=-1)]},
        {"parts": [_part()], "basis": "moist"},
    ],
)
def test_schema_and_reader_take_and_refuse_the_same(document: dict[str, Any]) -> None:
    by_schema = jsonschema_rs.is_valid(MIX, document)
    try:
        read_explicit(document)
    except HeapwrightError:
        by_reader = False
    else:
        by_reader = True
    assert by_schema is by_reader
