"""Setting a garden up at the command line: bins, settings, stock, materials, weather."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from heapwright.journal.entries import EntryKind
from tests.workshop.cli_terminal import Terminal, a_terminal, with_bins, with_heap, with_stock


@pytest.fixture
def terminal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Terminal:
    return a_terminal(tmp_path, monkeypatch)


def test_first_command_says_how_to_begin(terminal: Terminal) -> None:
    sentence = terminal.refused("today")
    assert "There is no garden yet" in sentence
    assert "heapwright bins save" in sentence
    assert not terminal.garden.exists()


def test_bins_are_saved_in_si_and_shown_in_the_readers_units(terminal: Terminal) -> None:
    with_bins(terminal)
    left, middle = terminal.json("bins")
    assert left["key"] == "left"
    assert left["width_m"] == pytest.approx(0.9144)
    assert middle["height_m"] == pytest.approx(0.9)
    assert "36 in x 36 in x 36 in" in terminal.tell("bins")
    assert "90 cm x 90 cm x 90 cm" in terminal.tell("bins", "list", "--units", "metric")


def test_a_bin_saved_again_keeps_what_is_not_said_anew(terminal: Terminal) -> None:
    with_bins(terminal)
    terminal.now += timedelta(minutes=1)
    terminal.tell(
        "bins", "save", "left bin", "--wall", "wire", "--shade", "30%", "--capped", "tarp"
    )
    terminal.now += timedelta(minutes=1)
    terminal.tell("bins", "save", "left bin", "--on", "slab")
    left = terminal.json("bins", "list")[0]
    assert (left["key"], left["wall"], left["cover"], left["shade"]) == (
        "left",
        "wire",
        "tarp",
        0.3,
    )
    assert left["ground"] == "slab"
    assert left["width_m"] == pytest.approx(0.9144)


def test_a_bin_is_renamed_by_its_key(terminal: Terminal) -> None:
    with_bins(terminal)
    terminal.now += timedelta(minutes=1)
    terminal.tell("bins", "save", "By the shed", "--key", "left")
    assert [one["name"] for one in terminal.json("bins")] == ["By the shed", "Middle bin"]


def test_a_bin_is_put_out_of_use_and_brought_back(terminal: Terminal) -> None:
    with_bins(terminal)
    told = terminal.tell("bins", "remove", "middle", "--why", "rotten pallets")
    assert "Middle bin" in told and "put out of use" in told
    assert [one["key"] for one in terminal.json("bins")] == ["left"]
    assert "No bin" in terminal.refused("log", "middle", "120F")
    assert "put out of use" in terminal.refused("bins", "remove", "middle-bin")
    back = next(line for line in told.splitlines() if "heapwright undo" in line)
    terminal.tell("undo", back.split()[-1])
    assert [one["key"] for one in terminal.json("bins")] == ["left", "middle-bin"]
    assert terminal.json("bins", "remove", "Middle bin")["undo"].startswith("heapwright undo ")
    terminal.now += timedelta(minutes=1)
    terminal.tell("bins", "save", "By the shed", "--key", "middle-bin")
    assert [one["name"] for one in terminal.json("bins")] == ["Left bin", "By the shed"]


def test_a_bin_with_a_heap_in_it_is_not_put_out_of_use(terminal: Terminal) -> None:
    with_heap(with_stock(with_bins(terminal)))
    sentence = terminal.refused("bins", "remove", "left")
    assert "May heap stands in it" in sentence
    assert "Log first" in sentence
    assert len(terminal.json("bins")) == 2


def test_settings_are_shown_and_changed(terminal: Terminal) -> None:
    with_bins(terminal)
    settings = terminal.json("setup")["settings"]
    assert settings["climate"] == "tucson"
    assert settings["hose_kg_s"] == pytest.approx(5 * 3.785411784 / 40)
    terminal.tell("setup", "--units", "metric", "--probe-depth", "45 cm")
    assert terminal.json("setup")["settings"]["probe_depth_m"] == pytest.approx(0.45)
    assert "28 L a minute" in terminal.tell("setup")


def test_own_container_is_named_and_used(terminal: Terminal) -> None:
    with_bins(terminal)
    terminal.tell("setup", "--container", "green tub=30 L")
    terminal.tell("stock", "add", "3 green tubs of coffee grounds")
    lot = terminal.json("stock")[0]["lot"]
    assert lot["container_name"] == "green tub"
    assert lot["container_volume_m3"] == pytest.approx(0.03)
    assert lot["count"] == 3


def test_stock_lists_what_spoils_first_at_the_top(terminal: Terminal) -> None:
    with_stock(with_bins(terminal))
    found = terminal.json("stock", "list")
    assert found[0]["material_name"] == "Grass clippings"
    assert found[-1]["lot"]["keep_back"] == 2
    shown = terminal.tell("stock")
    assert "14 30 gal leaf bags, keep 2" in shown


def test_stock_add_tells_the_cautions_and_how_to_undo(terminal: Terminal) -> None:
    with_bins(terminal)
    told = terminal.tell("stock", "add", "2 pails grass clippings")
    assert "weedkiller" in told
    undo = next(line for line in told.splitlines() if "heapwright undo" in line)
    terminal.tell("undo", undo.split()[-1])
    assert "Nothing is on hand" in terminal.tell("stock")


def test_own_measurement_goes_before_the_table(terminal: Terminal) -> None:
    with_bins(terminal)
    terminal.tell(
        "stock",
        *("add", "2 pails coffee grounds", "--weighs", "9 kg", "--moisture", "62%"),
        *("--nitrogen", "2.1%"),
    )
    line = terminal.json("stock")[0]
    assert line["properties"]["container_mass_kg"] == [9.0, 9.0, 9.0]
    assert line["properties"]["moisture"] == pytest.approx([0.62] * 3)
    assert line["properties"]["nitrogen_dry"] == pytest.approx([0.021] * 3)


def test_squeezed_handful_gives_the_moisture_of_a_lot(terminal: Terminal) -> None:
    with_bins(terminal)
    terminal.tell("stock", "add", "2 pails coffee grounds", "--squeeze", "no drops")
    assert terminal.json("stock")[0]["lot"]["measured"]["moisture"] == [0.45, 0.52, 0.58]


def test_thrown_away_containers_are_gone(terminal: Terminal) -> None:
    with_stock(with_bins(terminal))
    terminal.tell("stock", "throw-away", "coffee-grounds", "1", "--why", "mouldy")
    terminal.tell("stock", "throw-away", "grass-clippings-loose", "all")
    left = {line["lot"]["key"]: line["lot"]["left"] for line in terminal.json("stock")}
    assert left == {"coffee-grounds": 3.0, "leaves-mixed-dry": 14.0}


def test_material_is_found_by_everyday_words_with_ranges_and_sources(terminal: Terminal) -> None:
    told = terminal.tell("materials", "coffee", "grounds")
    assert "May go in" in told
    assert " to " in told
    assert "lb/yd³" in told
    (material,) = terminal.json("materials", "coffee grounds")
    assert material["moisture"]["low"] < material["moisture"]["high"]
    assert material["moisture"]["source"]


def test_refused_material_is_told_with_reason_and_what_to_do(terminal: Terminal) -> None:
    told = terminal.tell("materials", "dog poo")
    assert "Must not go into a home heap" in told
    assert "Why" in told
    assert "Instead" in told


def test_words_that_mean_several_materials_are_answered_with_all(terminal: Terminal) -> None:
    told = terminal.tell("materials", "hay", "--units", "metric")
    assert '"hay" can mean' in told
    assert "kg/m³" in told
    assert len(terminal.json("materials", "hay")) > 1


def test_all_materials_are_listed_by_the_part_they_play(terminal: Terminal) -> None:
    told = terminal.tell("materials")
    assert "Green:" in told
    assert "Brown:" in told
    assert len(terminal.json("materials")) > 100


def test_climates_are_listed_with_their_licences(terminal: Terminal) -> None:
    with_bins(terminal)
    told = terminal.tell("weather")
    assert "tucson  (chosen)" in told
    assert told.count("Licence:") == 4
    answer = terminal.json("weather", "list")
    assert answer["chosen"] == "tucson"
    assert len(answer["climates"]) == 4


WEATHER = "time,temperature (C),relative humidity (%),wind (m/s),rain (mm),ghi (W/m2)\n" + "".join(
    f"2026-05-{1 + hour // 24:02}T{hour % 24:02}:00Z,{20 + hour % 24 / 2},40,2,0,{300}\n"
    for hour in range(96)
)


def test_own_weather_file_is_previewed_kept_and_forgotten(
    terminal: Terminal, tmp_path: Path
) -> None:
    with_bins(terminal)
    file = tmp_path / "yard.csv"
    file.write_text(WEATHER, encoding="utf-8")
    preview = terminal.json("weather", "import", str(file), "--dry-run")
    assert (preview["hours"], preview["kept"]) == (96, False)
    assert "terms" in preview["licence"]
    assert terminal.json("weather")["own_files"] == []
    told = terminal.tell("weather", "import", str(file))
    assert "Kept for this garden" in told
    assert "68 °F to 89 °F" in told
    assert terminal.json("weather")["own_files"] == ["yard.csv"]
    terminal.tell("weather", "forget", "yard.csv")
    assert terminal.json("weather")["own_files"] == []
    assert file.exists()


def test_undo_without_an_id_lists_the_last_entries(terminal: Terminal) -> None:
    with_bins(terminal)
    told = terminal.tell("undo")
    assert "bin: Left bin" in told
    assert "garden: Back yard" in told
    with terminal.opened() as garden:
        (made, _, _) = garden.entries()
    terminal.tell("undo", made.id[:8])
    assert "(taken back)" in terminal.tell("undo")
    assert [one["key"] for one in terminal.json("bins")] == ["middle-bin"]
    with terminal.opened() as garden:
        last = garden.entries()[-1]
    assert last.kind is EntryKind.UNDO
    terminal.tell("undo", last.id)
    assert [one["key"] for one in terminal.json("bins")] == ["left", "middle-bin"]


def test_whatever_a_command_stores_says_that_it_was_a_command(terminal: Terminal) -> None:
    with_heap(with_stock(with_bins(terminal)))
    terminal.tell("setup", "--container", "green tub=30 L")
    terminal.tell("stock", "throw-away", "leaves-mixed-dry", "1")
    terminal.tell("log", "left", "120F")
    with terminal.opened() as garden:
        terminal.tell("undo", garden.entries()[-1].id)
        made = garden.entries()
    assert {entry.kind for entry in made} == {
        EntryKind.GARDEN,
        EntryKind.BIN,
        EntryKind.CONTAINER,
        EntryKind.LOT,
        EntryKind.LOT_GONE,
        EntryKind.BUILD,
        EntryKind.READING,
        EntryKind.UNDO,
    }
    assert {entry.origin for entry in made} == {"command"}


def test_demo_makes_an_invented_garden_in_a_new_file(terminal: Terminal, tmp_path: Path) -> None:
    target = tmp_path / "look.heapwright"
    told = terminal.tell("demo", str(target))
    assert "invented" in told
    assert told.count("  Why") == 3
    assert str(target) in told
    assert "there already" in terminal.refused("demo", str(target))
    assert not terminal.garden.exists()
    bins = terminal.json("today", "--garden", str(target))["bins"]
    assert [one["stage"] for one in bins] == ["hot", "hot", "curing"]
