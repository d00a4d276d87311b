"""Bad input at the command line: a sentence, an exit code, nothing lost, no stack trace."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path

import pytest

from heapwright.cli import place
from heapwright.workshop import mix as workshop_mix
from heapwright.workshop.garden import Garden
from heapwright.workshop.transfer import export_journal
from tests.workshop.cli_terminal import Terminal, a_copy, a_terminal, prepared


@pytest.fixture(scope="module")
def source(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return prepared(tmp_path_factory.mktemp("prepared"))


@pytest.fixture(scope="module")
def before(source: Path) -> str:
    """Return the prepared garden's journal, to see afterwards that nothing was added."""
    return exported(source)


@pytest.fixture
def terminal(tmp_path: Path, source: Path, monkeypatch: pytest.MonkeyPatch) -> Terminal:
    return a_copy(tmp_path, source, monkeypatch)


@pytest.fixture
def empty(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Terminal:
    return a_terminal(tmp_path, monkeypatch)


def exported(home: Path) -> str:
    """Return everything in a home's garden."""
    with Garden.open(home / "heapwright" / place.FILE_NAME) as garden:
        return export_journal(garden)


REFUSED = {
    "a reading of hot": (("log", "left", "hot"), '"hot" is not a number'),
    "a reading that burns": (("log", "left", "640"), "hotter than boiling water"),
    "a date to come": (("log", "left", "137F", "--at", "2030-01-01 07:00"), "has not come yet"),
    "a day that is none": (("log", "left", "137F", "--at", "2026-02-31"), "no such day"),
    "a date of two meanings": (("log", "left", "137F", "--at", "3/5/2026"), "day/month"),
    "a time that is none": (("log", "left", "137F", "--at", "teatime"), "yesterday 18:10"),
    "a bin that is not": (("log", "attic", "137F"), "The bins are: left (Left bin)"),
    "an empty bin": (("log", "middle", "137F"), "nothing stood in Middle bin"),
    "nothing said": (("log", "left"), "Nothing was said"),
    "a squeeze of sand": (("log", "left", "--squeeze", "sand"), "dusty, dry, drops, dripping"),
    "a smell of roses": (("log", "left", "--smell", "roses"), "rotten egg"),
    "dragons": (("log", "left", "--pests", "dragons"), "flies, rats, ants"),
    "a cap of gold": (("log", "left", "--capped", "gold"), "brown cap"),
    "a negative level": (("log", "left", "--level", "-3 in"), "less than nothing"),
    "a depth alone": (("log", "left", "--depth", "18 in"), "without a temperature"),
    "stirred and moved": (("log", "left", "--stirred", "--moved-to", "middle"), "at once"),
    "moved into itself": (("log", "left", "--moved-to", "left"), "bin it was in"),
    "no water": (("log", "left", "--water", "-5 gal"), "than nothing"),
    "water of words": (("log", "left", "--water", "some"), "Write it such as 2 pails"),
    "a sea of water": (("log", "left", "--water", "90000 L"), "between 0 and 5000"),
    "compost by weight": (("log", "left", "--used", "3 kg"), "A volume is asked for"),
    "a lot that is not": (("log", "left", "--added", "gold=1"), "No lot is called"),
    "a lot without a count": (("log", "left", "--added", "gold"), "Write LOT=COUNT"),
    "more than is left": (("log", "left", "--added", "leaves-mixed-dry=99"), "were left"),
    "an entry that is not": (("undo", "ffffffff"), "`heapwright undo` lists"),
    "nothing to undo": (("undo", ""), "No entry has an id"),
    "an unknown material": (("mix", "3 pails unobtanium"), "No material called"),
    "material without amount": (("mix", "leaves"), "Write it such as 2 pails"),
    "amount without material": (("mix", "3 pails"), "names no material"),
    "a negative amount": (("mix", "-3 pails leaves"), "It must be more than nothing"),
    "nothing of it": (("mix", "0 pails leaves"), "It must be more than nothing"),
    "an absurd amount": (("mix", "90000 pails leaves"), "No garden heap takes so much"),
    "refused material": (("mix", "1 pail dog poo"), "must not go into a home heap"),
    "moisture of 640 %": (
        ("mix", "3 pails leaves", "--target-moisture", "640%"),
        "Did you mean 64 %?",
    ),
    "a file that is not": (("mix", "nowhere.json"), 'There is no file "nowhere.json"'),
    "no days": (("forecast", "left", "--days", "0"), "0 days ahead"),
    "days without end": (("forecast", "left", "--days", "1e6"), "up to 60 days"),
    "days of words": (("forecast", "left", "--days", "many"), "is not a number"),
    "other units": (("today", "--units", "imperial"), "Say us or metric"),
    "count without record": (("build", "left", "--count", "leaves-mixed-dry=3"), "Add --record"),
    "a heap on a heap": (("build", "left", "--record"), "where May heap stands"),
    "half a reserve": (("build", "middle", "--keep-back", "leaves-mixed-dry=0.5"), "whole"),
    "an odd lot": (("build", "middle", "--use-conditional", "gold"), 'No lot is called "gold"'),
    "stock refused": (("stock", "add", "2 pails dog poo"), "must not go into a home heap"),
    "stock of a measure": (("stock", "add", "3 kg leaves"), "whole containers"),
    "stock in halves": (("stock", "add", "1.5 pails leaves"), "whole containers"),
    "stock of nothing": (("stock", "add", "3 pails"), "names no material"),
    "stock unclear": (("stock", "add", "2 bags leaves"), "can mean several sizes"),
    "two moistures": (
        ("stock", "add", "2 pails leaves", "--moisture", "40%", "--squeeze", "drops"),
        "both tell the water",
    ),
    "moisture of stock": (("stock", "add", "2 pails leaves", "--moisture", "640%"), "64 %"),
    "thrown away twice": (("stock", "throw-away", "coffee-grounds", "99"), "are left"),
    "a bin without size": (("bins", "save", "New"), "width of a new bin is missing"),
    "a bin of a mile": (("bins", "save", "New", "1000 m", "1 m", "1 m"), "between 0.1 and 10"),
    "a wall of air": (("bins", "save", "left", "--key", "left", "--wall", "air"), "pallets"),
    "an odd time zone": (("setup", "--time-zone", "Atlantis"), "Atlantis"),
    "an odd climate": (("setup", "--climate", "mars"), "tucson"),
    "an odd hose": (("setup", "--hose", "fast"), "5 gal in 40 s"),
    "a container of nothing": (("setup", "--container", "tub=0 L"), "0.0001"),
    "weather that is not": (("weather", "import", "nowhere.epw"), "There is no file"),
    "weather not kept": (("weather", "forget", "nowhere.epw"), "Kept are: none"),
    "unknown words": (("materials", "zzzz"), "No material called"),
    "an unknown option": (("log", "left", "--temprature", "58"), "heapwright log --help"),
    "an unknown command": (("compost",), "heapwright --help"),
    "a lacking argument": (("log",), "heapwright log --help"),
    "an option too early": (("stock", "--units", "us", "list"), "Put it behind"),
    "a log for no bin": (("import", "-"), "Say --bin"),
    "an odd degree": (("import", "-", "--bin", "left", "--unit", "K"), "--unit F or --unit C"),
    "an odd column": (("import", "-", "--bin", "left", "--column", "heat"), "--column temp"),
}


@pytest.mark.parametrize(("words", "part"), REFUSED.values(), ids=REFUSED)
def test_bad_input_is_a_sentence_and_nothing_is_stored(
    terminal: Terminal, before: str, words: tuple[str, ...], part: str
) -> None:
    sentence = terminal.refused(*words, typed="Date,Temp C\n2026-05-02,58\n")
    assert part in sentence
    assert exported(terminal.home) == before


@pytest.mark.parametrize(
    "case", ["a reading of hot", "an unknown material", "an unknown option", "a lacking argument"]
)
def test_bad_input_is_told_in_json_too(terminal: Terminal, case: str) -> None:
    words, part = REFUSED[case]
    done = terminal.run(*words, "--json")
    assert done.exit_code == 2
    assert done.stderr == ""
    error = json.loads(done.stdout)["error"]
    assert error["code"]
    assert part in error["sentence"]
    assert error["sentence"].startswith(error["what"][:20])


EXPLICIT = {
    "not JSON": ("{parts: 3}", "not written as JSON"),
    "moisture of 640 %": (
        '{"parts": [{"name": "A", "mass_kg": 1, "moisture": 6.4, "carbon_dry": 0.4, "c_to_n": 9}]}',
        "Did you mean 0.64",
    ),
    "negative mass": (
        '{"parts": [{"name": "A", "mass_kg": -1, "moisture": 0.5, "c_to_n": 9, "carbon_dry": 1}]}',
        "A: the mass",
    ),
    "not a number": ('{"parts": [{"mass_kg": NaN, "moisture": 0.5}]}', "NaN"),
    "no parts": ("{}", '"parts"'),
    "words for a number": ('{"parts": [{"moisture": "half", "mass_kg": 1}]}', "without quotes"),
    "an unknown field": ('{"parts": [{"colour": "green"}]}', '"colour"'),
}


@pytest.mark.parametrize(("text", "part"), EXPLICIT.values(), ids=EXPLICIT)
def test_explicit_numbers_that_cannot_be_are_named(empty: Terminal, text: str, part: str) -> None:
    assert part in empty.refused("mix", "-", typed=text)


FILES = {
    "a workbook": (b"PK\x03\x04 rest", "a spreadsheet's workbook"),
    "nothing": (b"", "The file is empty"),
    "a picture": (b"\x89PNG\r\n\x1a\n", "a picture"),
    "only bad rows": (b"Date,Temp C\nsoon,58\nlater,hot\n", "None of the 2 rows can be stored"),
    "no columns": (b"a,b\nc,d\n", "Which column"),
    "JSON of another kind": (b'{"format": "heapwright-journal", "version": 9}', "version 9"),
    "a broken journal": (b'{"format": "heapwright-journal", "version": 1', "not JSON"),
}


@pytest.mark.parametrize(("data", "part"), FILES.values(), ids=FILES)
def test_file_that_is_no_log_is_named_and_nothing_is_stored(
    terminal: Terminal, before: str, tmp_path: Path, data: bytes, part: str
) -> None:
    file = tmp_path / "what.csv"
    file.write_bytes(data)
    assert part in terminal.refused("import", str(file), "--bin", "left")
    assert exported(terminal.home) == before


def test_log_in_another_encoding_is_read_and_told(terminal: Terminal, tmp_path: Path) -> None:
    file = tmp_path / "latin.csv"
    file.write_bytes("Date,Temp C,Remarks\n2026-05-02,58,café\n".encode("latin-1"))
    told = terminal.tell("import", str(file), "--bin", "left")
    assert "Windows-1252" in told
    assert "Stored: 1." in told


def test_mixture_in_another_encoding_is_refused(empty: Terminal) -> None:
    assert "not text in UTF-8" in empty.refused("mix", "-", typed='{"é": 1}'.encode("latin-1"))


def test_garden_from_a_newer_version_is_left_alone(terminal: Terminal) -> None:
    terminal.tell("bins")
    with sqlite3.connect(terminal.garden) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.close()
    before = terminal.garden.read_bytes()
    sentence = terminal.refused("today", code=3)
    assert "newer" in sentence
    assert terminal.garden.read_bytes() == before


def test_file_that_is_no_garden_is_left_alone(terminal: Terminal, tmp_path: Path) -> None:
    other = tmp_path / "letter.txt"
    other.write_text("Dear aunt, " * 400, encoding="utf-8")
    sentence = terminal.refused("today", "--garden", str(other), code=3)
    assert "not a journal" in sentence
    assert other.read_text(encoding="utf-8") == "Dear aunt, " * 400


def test_folder_that_cannot_be_made_is_named(empty: Terminal, tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("", encoding="utf-8")
    below = str(blocked / "below" / "garden.heapwright")
    sentence = empty.refused("setup", "--name", "A", "--garden", below, code=3)
    assert "could not be made" in sentence


def test_defect_of_ours_is_one_calm_sentence_and_its_trace_is_kept(
    empty: Terminal, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError("a spade hit a stone")

    monkeypatch.setattr(workshop_mix, "mix_explicit", broken)
    sentence = empty.refused("mix", "-", code=3, typed="{}")
    assert "a fault of the program" in sentence
    log = empty.garden.with_suffix(".log")
    assert str(log) in sentence
    kept = log.read_text(encoding="utf-8")
    assert "a spade hit a stone" in kept
    assert "Traceback" in kept
    done = empty.run("mix", "-", "--json", typed="{}")
    assert json.loads(done.stdout)["error"]["code"] == "problem"


def test_stopped_by_the_person_is_calm(empty: Terminal, monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(workshop_mix, "mix_explicit", stopped)
    assert empty.refused("mix", "-", code=130, typed="{}") == "Stopped by you."


def test_demo_that_fails_leaves_no_half_made_file(
    empty: Terminal, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from heapwright.workshop import demo

    def broken(_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(demo, "fill_demo_garden", broken)
    target = tmp_path / "demo.heapwright"
    empty.refused("demo", str(target), code=3)
    assert [path.name for path in tmp_path.iterdir() if path.name.startswith("demo")] == []
