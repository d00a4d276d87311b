"""Broken scenarios for `simulate`: always one sentence, never a trace, nothing run."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema_rs  # comes with schemathesis
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heapwright.errors import BalanceBroken, HeapwrightError
from heapwright.workshop.scenario.form import scenario_schema
from heapwright.workshop.scenario.read import read_scenario
from heapwright.workshop.simulate import simulate_document
from heapwright.workshop.simulation import Simulation
from tests.workshop.cli_terminal import Terminal, a_terminal
from tools import ROOT

EXPLICIT: dict[str, Any] = {"wet_mass_kg": 350, "moisture": 0.6, "c_to_n": 30, "volume_m3": 0.9}
MATERIALS: dict[str, Any] = {
    "materials": [
        {"material": "dry leaves", "amount": "6 leaf bags"},
        {"material": "grass clippings", "amount": "6 pails"},
    ],
    "target_moisture": 0.6,
}
WHOLE: dict[str, Any] = {
    "bin": {"shape": "square", "width_m": 1.0, "height": "1 m", "wall": "wire", "shade": 0.5},
    "fill": EXPLICIT,
    "weather": {"constant": {"mean_c": 15, "daily_swing_k": 5, "relative_humidity": 0.5}},
    "actions": [
        {"do": "stir", "hour": 5, "water_l": 5},
        {"do": "move", "hour": 8, "new_bin": {"diameter_m": 1.1, "height_m": 1.0}},
        {"do": "wet", "hour": 9, "water": "10 L"},
        {"do": "add", "hour": 10, "fill": EXPLICIT | {"wet_mass_kg": 8, "volume_m3": 0.02}},
        {"do": "cover", "day": 0.6, "cover": "tarp"},
    ],
    "probes": [{"name": "core", "depth_m": 0.4, "radius_fraction": 0.2}],
    "days": 1,
    "grid": "usual",
}
SCHEMA = jsonschema_rs.validator_for(scenario_schema())


@pytest.fixture
def terminal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Terminal:
    return a_terminal(tmp_path, monkeypatch)


def changed(path: tuple[str | int, ...], value: Any) -> dict[str, Any]:
    """Return the whole scenario with one place set to another value."""
    scenario = copy.deepcopy(WHOLE)
    place: Any = scenario
    for part in path[:-1]:
        place = place[part]
    place[path[-1]] = value
    return scenario


def without(*path: str | int) -> dict[str, Any]:
    """Return the whole scenario with one place taken out."""
    scenario = copy.deepcopy(WHOLE)
    place: Any = scenario
    for part in path[:-1]:
        place = place[part]
    del place[path[-1]]
    return scenario


FORM = {
    "an unknown name": (changed(("bin", "colour"), "green"), 'unknown name "colour"'),
    "a name nearly right": (changed(("fill", "moistur"), 0.5), 'Did you mean "moisture"?'),
    "width twice": (changed(("bin", "width"), "3 ft"), '"width_m", "width" together'),
    "no width": (without("bin", "width_m"), 'lacks one of "width_m", "width"'),
    "no height": (without("bin", "height"), 'lacks one of "height_m", "height"'),
    "width in quotes": (changed(("bin", "width_m"), "1"), "a number without quotes"),
    "width of nothing": (changed(("bin", "width_m"), 0), "above 0"),
    "height without quotes": (changed(("bin", "height"), 1), "words in quotes"),
    "a wall of gold": (changed(("bin", "wall"), "gold"), '"pallets"'),
    "a cover of snow": (changed(("bin", "cover"), "snow"), '"brown cap"'),
    "a ground of lava": (changed(("bin", "ground"), "lava"), '"coarse base"'),
    "another shape": (changed(("bin", "shape"), "hexagon"), '"square", "round"'),
    "a diameter of a square": (changed(("bin", "diameter_m"), 1), '"diameter_m"'),
    "shade in per cent": (changed(("bin", "shade"), 50), "Did you mean 0.5?"),
    "no bin": (without("bin"), "bin is missing"),
    "a bin of words": (changed(("bin",), "left"), "in braces"),
    "null": (changed(("days",), None), 'null for "days"'),
    "moisture in per cent": (changed(("fill", "moisture"), 60), "Did you mean 0.6?"),
    "no moisture": (without("fill", "moisture"), "moisture is missing"),
    "true": (changed(("fill", "c_to_n"), True), "c_to_n is true"),
    "volume and density": (
        changed(("fill", "bulk_density_kg_m3"), 400),
        '"volume_m3", "bulk_density_kg_m3" together',
    ),
    "materials and numbers": (changed(("fill",), MATERIALS | EXPLICIT), "unknown name"),
    "no materials": (changed(("fill",), {"materials": []}), "The list is empty"),
    "water and a moisture": (
        changed(("fill",), MATERIALS | {"water_l": 5}),
        '"water_l", "target_moisture" together',
    ),
    "no weather": (changed(("weather",), {}), '"constant", "hours", "file", "climate"'),
    "two weathers": (
        changed(("weather",), {"climate": "tucson", "file": "a.csv"}),
        '"file", "climate" together',
    ),
    "humidity in per cent": (
        changed(("weather", "constant", "relative_humidity"), 25),
        "Did you mean 0.25?",
    ),
    "no rows": (changed(("weather",), {"hours": []}), "The list is empty"),
    "a row without its air": (changed(("weather",), {"hours": [{}]}), "number 1, temperature_c"),
    "a climate without a date": (changed(("weather",), {"climate": "tucson"}), "start is missing"),
    "another deed": (changed(("actions", 0, "do"), "dance"), '"stir", "move", "wet"'),
    "no deed": (without("actions", 0, "do"), 'has no "do"'),
    "a deed of words": (changed(("actions", 0), "stir"), "in braces"),
    "hour and day": (changed(("actions", 0, "day"), 2), '"hour", "day" together'),
    "no hour": (without("actions", 0, "hour"), 'lacks one of "hour", "day"'),
    "stirring something in": (changed(("actions", 0, "fill"), EXPLICIT), 'unknown name "fill"'),
    "adding nothing": (without("actions", 3, "fill"), "fill is missing"),
    "wetting with nothing": (without("actions", 2, "water"), 'lacks one of "water_l", "water"'),
    "covering with nothing": (without("actions", 4, "cover"), "cover is missing"),
    "an hour before it": (changed(("actions", 0, "hour"), -1), "at least 0"),
    "a probe without a name": (without("probes", 0, "name"), "number 1, name is missing"),
    "a probe outside": (changed(("probes", 0, "radius_fraction"), 1.5), "at most 1"),
    "no days": (changed(("days",), 0), "above 0"),
    "days without end": (changed(("days",), 1e9), "at most 366"),
    "another grid": (changed(("grid",), "coarse"), '"usual", "fine"'),
}


@pytest.mark.parametrize(("scenario", "part"), FORM.values(), ids=FORM)
def test_fault_of_form_is_refused_by_reader_and_schema(scenario: Any, part: str) -> None:
    with pytest.raises(HeapwrightError) as caught:
        simulate_document(scenario)
    sentence = caught.value.sentence()
    assert part in sentence
    assert sentence.endswith("Nothing was run.")
    assert not SCHEMA.is_valid(scenario)


DRY = [{"temperature_c": 3, "rain_mm": 0}] * 24
TRUE_FORM = {
    "a unit that is none of length": (changed(("bin", "height"), "3 lb"), "not a unit of length"),
    "no unit": (changed(("bin", "height"), "3"), "Its unit is missing"),
    "a barn": (changed(("bin", "width_m"), 36), "width is 36 m"),
    "a thimble": (changed(("bin", "height"), "2 cm"), "height is 0.02 m"),
    "a heap of lead": (changed(("fill", "wet_mass_kg"), 9000), "density"),
    "dust": (changed(("fill", "moisture"), 0), "Moisture is 0"),
    "no air left": (changed(("fill", "wet_mass_kg"), 1040), "no air space"),
    "far above the rim": (changed(("fill", "volume_m3"), 3), "far above the rim"),
    "shares above one": (
        changed(("fill",), EXPLICIT | {"fast_share": 0.8, "medium_share": 0.7}),
        "fast and medium shares together",
    ),
    "a frozen sun": (changed(("weather", "constant", "mean_c"), -200), "Air temperature"),
    "a glowing heap": (changed(("fill", "temperature_c"), 640), "temperature when built"),
    "an addition without room": (
        changed(("actions", 3, "fill"), {"wet_mass_kg": 5, "moisture": 0.6, "c_to_n": 20}),
        "Give volume_m3 or bulk_density_kg_m3",
    ),
    "water of words": (changed(("actions", 2, "water"), "some"), "some"),
    "a deed after the end": (changed(("actions", 0, "hour"), 500), "hours 0 to 24"),
    "a thermometer through the ground": (changed(("probes", 0, "depth_m"), 3), "3 m deep"),
    "two thermometers of one name": (
        changed(("probes",), [{"name": "a", "depth_m": 0.3}, {"name": "a", "depth_m": 0.4}]),
        'called "a"',
    ),
    "an unknown material": (
        changed(("fill",), {"materials": [{"material": "gold", "amount": "2 pails"}]}),
        "gold",
    ),
    "a refused material": (
        changed(("fill",), {"materials": [{"material": "dog poo", "amount": "2 pails"}]}),
        "must not go into a home heap",
    ),
    "an unclear amount": (
        changed(("fill",), {"materials": [{"material": "leaves", "amount": "many"}]}),
        "many",
    ),
    "too few rows": (changed(("weather",), {"hours": [{"temperature_c": 3}] * 5}), "24 hours"),
    "rows with holes": (
        changed(("weather",), {"hours": [*DRY[:1], {"temperature_c": 3}, *DRY[:22]]}),
        "Hour number 2 of the weather has no rain_mm",
    ),
    "an unknown climate": (
        changed(("weather",), {"climate": "mars", "start": "2026-05-01"}),
        "tucson",
    ),
    "a start of words": (
        changed(("weather",), {"climate": "tucson", "start": "soon"}),
        "not a date",
    ),
    "the end of the calendar": (
        changed(("weather",), {"climate": "tucson", "start": "9999-12-31T23:00Z"}),
        "year",
    ),
    "no such weather file": (changed(("weather",), {"file": "no.csv"}), 'no file "no.csv"'),
    "a file of no name": (changed(("weather",), {"file": "a\x00b"}), "There is no file"),
    "half a place": (
        changed(("weather",), {"file": "no.csv", "latitude_deg": 3}),
        "A place needs both",
    ),
}  # fmt: skip


@pytest.mark.parametrize(("scenario", "part"), TRUE_FORM.values(), ids=TRUE_FORM)
def test_value_that_cannot_be_true_is_named(scenario: Any, part: str) -> None:
    assert SCHEMA.is_valid(scenario)
    with pytest.raises(HeapwrightError) as caught:
        simulate_document(scenario)
    assert part in caught.value.sentence()
    assert not isinstance(caught.value, BalanceBroken)
    assert "saved" not in caught.value.sentence()


TEXTS = {
    "not JSON": ("{bin: 3}", "not written as JSON"),
    "nothing": ("", "not written as JSON"),
    "a list": ("[]", "in braces"),
    "not a number": ('{"days": NaN}', "holds NaN"),
    "endless": ('{"bin": 1e999}', "bin"),
    "twice": ('{"days": 1, "days": 2}', '"days" twice'),
    "a very long number": ('{"days": ' + "9" * 5000 + "}", "too many digits"),
    "very deep": ("[" * 200_000, "too deep"),
    "half a letter": ('{"\\ud800": 1}', "half a letter"),
}


@pytest.mark.parametrize(("text", "part"), TEXTS.values(), ids=TEXTS)
def test_text_that_is_no_scenario_is_one_sentence(terminal: Terminal, text: str, part: str) -> None:
    assert part in terminal.refused("simulate", "-", typed=text)


FILES = {
    "a file that is not": ("nowhere.json", 'There is no file "nowhere.json"'),
    "a folder": (".", "is a folder"),
}


@pytest.mark.parametrize(("name", "part"), FILES.values(), ids=FILES)
def test_file_that_cannot_be_read_is_named(terminal: Terminal, name: str, part: str) -> None:
    assert part in terminal.refused("simulate", name)


def test_faults_are_told_in_json_too(terminal: Terminal) -> None:
    scenario, part = FORM["moisture in per cent"]
    done = terminal.run("simulate", "-", "--json", typed=json.dumps(scenario))
    assert done.exit_code == 2
    error = json.loads(done.stdout)["error"]
    assert part in error["sentence"]
    assert error["code"] == "out-of-range"
    assert error["kept"] == "Nothing was run."


def test_weather_file_that_is_none_is_named(terminal: Terminal) -> None:
    (terminal.home / "station.csv").write_text("a,b\n1,2\n", encoding="utf-8")
    scenario = changed(("weather",), {"file": "station.csv"})
    (terminal.home / "heap.json").write_text(json.dumps(scenario), encoding="utf-8")
    sentence = terminal.refused("simulate", str(terminal.home / "heap.json"))
    assert "Nothing was read" in sentence or "Nothing was run" in sentence


@pytest.mark.parametrize("of", ["", "compost", "mix simulate"])
def test_schema_of_something_else_is_refused(terminal: Terminal, of: str) -> None:
    assert "mix, simulate" in terminal.refused("schema", of)


def test_mix_has_no_schema_of_its_answer(terminal: Terminal) -> None:
    assert "simulate --output" in terminal.refused("schema", "mix", "--output")


def test_more_faults_are_counted() -> None:
    scenario = changed(("bin", "wall"), "gold") | {"days": -1, "grid": "none"}
    with pytest.raises(HeapwrightError, match="2 more things need mending"):
        read_scenario(scenario)


def places(part: Any, before: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """Yield every place in a document."""
    if isinstance(part, dict | list):
        inside = part.items() if isinstance(part, dict) else enumerate(part)
        for name, value in inside:
            yield (*before, name)
            yield from places(value, (*before, name))


PLACES = [
    (scenario, place)
    for scenario in (
        WHOLE,
        WHOLE | {"fill": MATERIALS},
        WHOLE | {"weather": {"climate": "tucson", "start": "2026-05-01"}},
        WHOLE | {"weather": {"hours": [{"temperature_c": 20, "wind_m_s": 1}] * 24}},
    )
    for place in places(scenario)
    if place[:2] != ("weather", "hours") or place[2:3] in ((), (0,), (1,))
]
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20)
    | st.sampled_from(["3 ft", "2 pails", "stir", "round", "1e400", "-5 °C", "0", "2026-02-31"]),
    lambda inner: st.lists(inner, max_size=3)
    | st.dictionaries(
        st.sampled_from(["width", "do", "hour", "constant", "materials", "x", ""]), inner,
        max_size=3,
    ),
    max_leaves=5,
)  # fmt: skip


@settings(max_examples=300)
@given(st.sampled_from(PLACES), st.one_of(JSON, st.floats(-1e3, 1e3), st.just("gone")))
def test_any_change_is_answered_or_refused_in_a_sentence(
    where: tuple[dict[str, Any], tuple[str | int, ...]], value: Any
) -> None:
    scenario, path = copy.deepcopy(where[0]), where[1]
    place: Any = scenario
    for part in path[:-1]:
        place = place[part]
    if value == "gone":
        del place[path[-1]]
    else:
        place[path[-1]] = value
    if scenario.get("grid") == "fine" or not isinstance(scenario.get("days"), int | float):
        scenario["grid"], scenario["days"] = "usual", 1
    found = answered_or_refused(scenario)
    if isinstance(found, Simulation):
        assert found.balance_error_share < 1e-9
        return
    assert not isinstance(found, BalanceBroken)
    assert found.what and found.kept
    assert found.sentence().endswith((".", "?", "!"))
    assert len(found.sentence().encode("utf-8")) < 1200


def answered_or_refused(scenario: Any) -> Simulation | HeapwrightError:
    try:
        return simulate_document(scenario)
    except HeapwrightError as refusal:
        return refusal


def test_examples_of_the_docs_are_none_of_these() -> None:
    for path in (ROOT / "docs" / "examples").glob("*.json"):
        read_scenario(path.read_text(encoding="utf-8"))
