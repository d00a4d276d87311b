"""`heapwright simulate` and `heapwright schema simulate`: a scenario in, the heap's course out."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import jsonschema_rs  # comes with schemathesis
import pytest

from heapwright.cli import chart
from heapwright.heap.types import Cover, Ground, Wall
from heapwright.quantities import UnitSystem
from heapwright.workshop.scenario.read import read_scenario
from tests.workshop.cli_terminal import Terminal, a_terminal, with_bins
from tools import ROOT

EXAMPLES = sorted((ROOT / "docs" / "examples").glob("*.json"))
HOW_TO = (ROOT / "docs" / "how-to.md").read_text(encoding="utf-8")
QUICK: dict[str, Any] = {
    "bin": {"width_m": 1.0, "height_m": 1.0},
    "fill": {"wet_mass_kg": 350, "moisture": 0.6, "c_to_n": 30},
    "weather": {"constant": {"mean_c": 15, "daily_swing_k": 5}},
    "days": 4,
    "grid": "usual",
}


@pytest.fixture
def terminal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Terminal:
    return a_terminal(tmp_path, monkeypatch)


def answer(terminal: Terminal, **changes: Any) -> Any:
    return terminal.json("simulate", "-", typed=json.dumps(QUICK | changes))


def told(terminal: Terminal, *words: str, **changes: Any) -> str:
    return terminal.tell("simulate", "-", *words, typed=json.dumps(QUICK | changes))


def test_there_is_an_example_of_a_hot_dry_place_and_one_of_frost() -> None:
    assert [path.stem for path in EXAMPLES] == ["frost", "hot-dry-place"]


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_example_is_valid_and_answered_as_the_schema_says(terminal: Terminal, path: Path) -> None:
    schema = json.loads(terminal.tell("schema", "simulate"))
    assert jsonschema_rs.meta.is_valid(schema)
    document = json.loads(path.read_text(encoding="utf-8"))
    assert jsonschema_rs.is_valid(schema, document)
    assert "nvented" in document["note"]
    found = terminal.json("simulate", str(path))
    of_answer = json.loads(terminal.tell("schema", "simulate", "--output"))
    assert jsonschema_rs.meta.is_valid(of_answer)
    assert [str(fault) for fault in jsonschema_rs.validator_for(of_answer).iter_errors(found)] == []
    hours = round(24 * document["days"])
    assert {len(column) for column in found["hourly"].values()} == {hours + 1}
    assert [probe["name"] for probe in found["probes"]] == [p["name"] for p in document["probes"]]
    assert found["balance_error_share"] < 1e-9


def test_examples_do_what_their_places_do(terminal: Terminal) -> None:
    """In frost the wall stays far below the middle; in the dry place water leaves as vapour."""
    by_name = {path.stem: terminal.json("simulate", str(path)) for path in EXAMPLES}
    frost, hot = by_name["frost"], by_name["hot-dry-place"]
    assert max(frost["hourly"]["air_c"]) < 0.0
    assert frost["probes"][0]["peak_c"] > frost["probes"][1]["peak_c"]
    assert hot["totals"]["water_evaporated_kg"] > hot["totals"]["water_given_kg"]
    assert hot["start"] == "2026-06-15T14:00:00Z"
    assert frost["start"] is None


def test_same_answer_from_a_file_and_from_standard_input(terminal: Terminal) -> None:
    file = terminal.home / "heap.json"
    file.write_text("\ufeff" + json.dumps(QUICK), encoding="utf-8")
    assert terminal.json("simulate", str(file)) == answer(terminal)


def test_what_the_file_does_not_say_is_told(terminal: Terminal) -> None:
    words = " ".join(answer(terminal)["assumed"])
    for part in ("as deep as wide", "pallets", "brown cap", "coarse base", "Shade", "Humidity"):
        assert part in words
    for part in ("Volatile solids", "Fast share", "Medium share", "fills its bin", "thermometer"):
        assert part in words
    whole = answer(
        terminal,
        bin=QUICK["bin"]
        | {"depth_m": 1, "wall": "wire", "cover": "open", "ground": "slab", "shade": 0},
        fill=QUICK["fill"]
        | {"volatile_solids": 0.9, "fast_share": 0.2, "medium_share": 0.3, "volume_m3": 0.9},
        weather={
            "constant": {
                "mean_c": 15,
                "relative_humidity": 0.5,
                "wind_m_s": 1,
                "sun_noon_w_m2": 300,
                "starts_at_hour": 8,
            }
        },
        probes=[{"name": "core", "depth_m": 0.4}],
    )
    assert whole["assumed"] == []
    assert whole["bin"]["wall"] == "wire"


@pytest.mark.parametrize("wall", [str(wall) for wall in Wall])
def test_every_wall_is_taken(terminal: Terminal, wall: str) -> None:
    assert answer(terminal, bin=QUICK["bin"] | {"wall": wall}, days=0.25)["bin"]["wall"] == wall


@pytest.mark.parametrize("ground", [str(ground) for ground in Ground])
@pytest.mark.parametrize("cover", [str(cover) for cover in Cover])
def test_every_cover_and_ground_is_taken(terminal: Terminal, cover: str, ground: str) -> None:
    bins = QUICK["bin"] | {"cover": cover, "ground": ground}
    found = answer(terminal, bin=bins, days=0.25)["bin"]
    assert (found["cover"], found["ground"]) == (cover, ground)


def test_lengths_and_water_may_be_said_in_words(terminal: Terminal) -> None:
    numbers = answer(
        terminal,
        bin={"width_m": 0.9, "height_m": 0.9},
        actions=[{"do": "wet", "hour": 24, "water_l": 20}],
    )
    words = answer(
        terminal,
        bin={"width": "90 cm", "height": "0.9 m"},
        actions=[{"do": "wet", "day": 1, "water": "20 L"}],
    )
    assert words["hourly"] == numbers["hourly"]


def test_round_bin_is_known_by_its_diameter(terminal: Terminal) -> None:
    found = answer(
        terminal,
        bin={"diameter_m": 1.0, "height_m": 1.0},
        fill=QUICK["fill"] | {"wet_mass_kg": 300},
    )
    assert found["bin"]["is_round"] is True
    assert found["totals"]["volume_at_first_m3"] == pytest.approx(0.7854, abs=1e-4)


def test_weather_rows_set_the_length_and_may_leave_columns_out(terminal: Terminal) -> None:
    rows = [{"temperature_c": 10.0 + hour, "rain_mm": 0.1} for hour in range(10)]
    scenario = {name: part for name, part in QUICK.items() if name != "days"}
    typed = json.dumps(scenario | {"weather": {"hours": rows}})
    found = terminal.json("simulate", "-", typed=typed)
    assert found["hourly"]["air_c"] == [*(10.0 + hour for hour in range(10)), 19.0]
    assert found["totals"]["run_h"] == 10.0
    assert found["totals"]["water_rain_kg"] > 0.0
    assert "Sun: none, as no row has it." in found["assumed"]


def test_weather_file_lies_beside_the_scenario(
    terminal: Terminal, monkeypatch: pytest.MonkeyPatch
) -> None:
    beside = terminal.home / "somewhere"
    beside.mkdir()
    rows = [f"2026-05-0{d} {h:02}:00,{10 + h},{50 + h}" for d in (1, 2, 3) for h in range(24)]
    (beside / "station.csv").write_text(
        "time,temp_c,humidity_%\n" + "\n".join(rows), encoding="utf-8"
    )
    weather = {"file": "station.csv", "zone": "UTC", "latitude_deg": 40, "longitude_deg": 0}
    scenario = {name: part for name, part in QUICK.items() if name != "days"}
    (beside / "heap.json").write_text(json.dumps(scenario | {"weather": weather}))
    found = terminal.json("simulate", str(beside / "heap.json"))
    assert found["weather_source"] == "station.csv"
    assert found["start"] == "2026-05-01T00:00:00Z"
    assert found["totals"]["run_h"] == 72.0
    assert found["hourly"]["air_c"][:3] == [10.0, 11.0, 12.0]
    later = weather | {"start": "2026-05-02T06:00+01:00"}
    (beside / "heap.json").write_text(json.dumps(scenario | {"weather": later, "days": 1}))
    found = terminal.json("simulate", str(beside / "heap.json"))
    assert found["start"] == "2026-05-02T05:00:00Z"
    assert found["hourly"]["air_c"][0] == 15.0


def test_story_names_peak_losses_rules_and_cautions(terminal: Terminal) -> None:
    said = told(terminal, "--units", "metric", actions=[{"do": "stir", "day": 2, "water_l": 5}])
    for part in ("Square bin, 100 cm by 100 cm", "At thermometer", "peak ", "on day"):
        assert part in said
    for part in ("Left", "Lost", "Heat went", "turnings", "To mind:", "never proof", "T turned"):
        assert part in said
    assert "°F" not in said
    assert "°C" not in told(terminal, "--units", "us")


def test_story_follows_the_gardens_units_and_containers(terminal: Terminal) -> None:
    with_bins(terminal)
    terminal.tell("setup", "--units", "metric", "--container", "green tub=30 L")
    fill = {
        "materials": [
            {"material": "dry leaves", "amount": "20 green tubs"},
            {"material": "grass clippings", "amount": "8 green tubs"},
        ],
        "water_l": 20,
    }
    said = told(terminal, fill=fill)
    assert "°F" not in said
    assert "20 green tubs of Fallen leaves" in said


def test_heap_stands_at_most_a_little_over_its_rim(terminal: Terminal) -> None:
    fill = {"materials": [{"material": "dry leaves", "amount": "2 m3"}], "target_moisture": 0.6}
    found = answer(terminal, fill=fill)
    assert found["totals"]["volume_at_first_m3"] == pytest.approx(1.2)
    assert any("taken as pressed" in sentence for sentence in found["assumed"])
    assert found["fill"]["moisture"] == pytest.approx(0.6)


def test_thermometers_are_told_apart(terminal: Terminal) -> None:
    places = [
        {"name": "middle", "depth_m": 0.5},
        {"name": "outside", "depth_m": 0.5, "radius_fraction": 1.0},
    ]
    middle, outside = answer(terminal, probes=places)["probes"]
    assert middle["peak_c"] == max(middle["temperature_c"]) > outside["peak_c"]
    assert middle["temperature_c"][int(middle["peak_at_h"])] == middle["peak_c"]
    hot = [c >= 55.0 for c in middle["temperature_c"][1:]]
    assert middle["time_at_55_c_or_more_h"] == pytest.approx(sum(hot), abs=1)


def test_note_says_that_the_numbers_are_fitted_or_recalled(terminal: Terminal) -> None:
    notes = " ".join(answer(terminal)["notes"])
    assert "fitting to measured heaps" in notes
    assert "from memory" in notes
    assert "no proof of hygiene" in " ".join(answer(terminal)["cautions"])


def test_schema_without_a_word_is_that_of_mix(terminal: Terminal) -> None:
    assert terminal.tell("schema") == terminal.tell("schema", "mix")
    assert terminal.tell("schema") != terminal.tell("schema", "simulate")


def test_example_in_the_how_to_is_read(terminal: Terminal) -> None:
    after = HOW_TO[HOW_TO.index("\n## Try a heap before you build it") :]
    block = re.search(r"^    \{\n(?:^    .*\n)+", after, re.MULTILINE)
    assert block is not None
    document = json.loads(block[0])
    assert document["weather"]["climate"] == "tucson"
    assert read_scenario(document).fill.moisture == pytest.approx(0.6)


def test_every_field_of_a_scenario_is_told_in_the_how_to(terminal: Terminal) -> None:
    schema = json.loads(terminal.tell("schema", "simulate"))
    forms = [schema, *schema["$defs"].values()]
    names = {name for form in forms for name in form.get("properties", {})}
    said_in_words = {"shape", "height", "depth", "diameter", "width"}
    missing = {
        name
        for name in names - said_in_words
        if f"`{name}`" not in HOW_TO and f'"{name}":' not in HOW_TO
    }
    assert missing == set()


def test_every_field_of_both_schemas_says_what_it_is(terminal: Terminal) -> None:
    of_answer = json.loads(terminal.tell("schema", "simulate", "--output"))
    for name in ("hourly", "totals"):
        fields = of_answer["properties"][name]["properties"]
        assert [one for one, told in fields.items() if not told.get("description")] == []
    schema = json.loads(terminal.tell("schema", "simulate"))
    for form in schema["$defs"].values():
        if form.get("type") == "object":
            assert form["description"]
            assert form["additionalProperties"] is False


def test_chart_puts_hot_above_cold_and_signs_below() -> None:
    import numpy as np

    rising = np.linspace(20.0, 70.0, 97)
    drawn = list(
        chart.lines(
            chart.Picture({"o": rising}, points=[(2.0, 45.0, "R")], signs=[(3.0, "T")]),
            UnitSystem.METRIC,
        )
    )
    rows = [line[7:] for line in drawn[:-2]]
    last = [row.rstrip().rfind("o") for row in rows if "o" in row]
    assert last == sorted(last, reverse=True)  # the hottest row is the latest
    assert sum("R" in row for row in rows) == 1
    assert sum("----" in row for row in rows) == 1  # the line of 55 °C
    assert drawn[-2].index("T") > drawn[-2].index("+-")
    assert drawn[-1].split()[0] == "days"
