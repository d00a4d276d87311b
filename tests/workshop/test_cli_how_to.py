"""The page docs/how-to.md tells every command and option, and what it shows comes out."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
import typer

from heapwright.cli.app import app
from heapwright.workshop.build import record_build
from heapwright.workshop.stock import add_lot
from tests.workshop.cli_terminal import Terminal, a_terminal, with_bins
from tools import ROOT

HOW_TO = (ROOT / "docs" / "how-to.md").read_text(encoding="utf-8")
#: Options that the page explains once for all commands.
EVERYWHERE = {"--help", "-h", "--garden", "--units", "--json"}


def commands(group: Any, path: str = "heapwright") -> Iterator[tuple[str, Any]]:
    """Yield every command of a group with the words that call it."""
    for name, command in group.commands.items():
        if hasattr(command, "commands"):
            yield from commands(command, f"{path} {name}")
        else:
            yield f"{path} {name}", command


COMMANDS = dict(commands(typer.main.get_command(app)))
TABLE = HOW_TO.partition("## Every command")[2].partition("\n## ")[0]


def test_commands_asked_for_are_there() -> None:
    asked = "mix build log today forecast import export serve demo materials schema setup undo"
    assert {f"heapwright {name}" for name in asked.split()} <= set(COMMANDS)


@pytest.mark.parametrize("path", COMMANDS)
def test_command_has_its_row_in_the_how_to(path: str) -> None:
    assert re.search(rf"`{path}[ `]", TABLE), f"docs/how-to.md does not tell of `{path}`"


@pytest.mark.parametrize("path", COMMANDS)
def test_every_option_is_told_in_the_how_to(path: str) -> None:
    row = next(line for line in TABLE.splitlines() if re.search(rf"`{path}[ `]", line))
    known = EVERYWHERE | set(re.findall(r"--[a-z-]+", row))
    assert {option for option in options(COMMANDS[path]) if option not in known} == set()


def options(command: Any) -> set[str]:
    return {
        name
        for parameter in command.params
        if parameter.param_type_name == "option"
        for name in (*parameter.opts, *parameter.secondary_opts)
    }


@pytest.mark.parametrize("path", COMMANDS)
def test_command_and_its_parameters_have_help(path: str) -> None:
    command = COMMANDS[path]
    assert command.help
    assert command.help.strip().splitlines()[0].endswith(".")
    assert [p.name for p in command.params if not getattr(p, "help", "")] == []


def test_how_to_names_no_command_that_is_not_there() -> None:
    words = {path.removeprefix("heapwright ") for path in COMMANDS}
    words |= {one.split()[0] for one in words if one}  # a group's name alone lists
    called = re.findall(
        r"(?:^    |`)heapwright ([a-z][a-z-]+(?: [a-z][a-z-]+)?)", HOW_TO, re.MULTILINE
    )
    assert [one for one in called if one not in words and one.split()[0] not in words] == []


@pytest.fixture
def november(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Terminal:
    """Return the garden of the page's example: a heap built on 15 November 2026."""
    terminal = a_terminal(tmp_path, monkeypatch)
    terminal.now = datetime(2026, 11, 25, 8, 50, tzinfo=UTC)
    with_bins(terminal)
    with terminal.opened() as garden:
        add_lot(garden, material="dry leaves", container="wheelbarrow", count=9, origin="page")
        at = datetime(2026, 11, 15, 23, 0, tzinfo=UTC)
        record_build(
            garden, "left", {"leaves-mixed-dry": 9}, 60.0, "November heap", at=at, origin="page"
        )
    return terminal


def test_the_log_in_the_how_to_comes_in_as_it_says(november: Terminal) -> None:
    """Mixed °F and °C, blank cells and two bad rows, as a person typed them."""
    found = re.search(r"(?:^    .*\n)+", HOW_TO[HOW_TO.index("    Date,Time,Temp (F)") :], re.M)
    assert found is not None
    text = "".join(line[4:] + "\n" for line in found[0].splitlines())
    told = november.tell("import", "-", "--bin", "left", typed=text)
    for sentence in (
        'Understood: date from "Date", time from "Time", temperature from "Temp (F)"',
        "In the dates the month stands first: decided by 11/16/2026.",
        "Rows: 7 to store, 2 not understood, 1 without a temperature, skipped.",
        "Stored: 7.",
    ):
        assert sentence in HOW_TO
        assert sentence in told
    again = november.json("import", "-", "--bin", "left", typed=text)
    assert (again["stored"], len(again["bad"])) == (0, 2)
    last = november.json("today", "left")["last_reading"]
    assert last["temperature_c"] == pytest.approx((141.5 - 32) / 1.8)


WRONG = {
    ("log", "left", "hot"): "",
    ("mix", "3 pails leaves", "--target-moisture", "640%"): "",
    ("mix", "-"): '{"parts": [{"name": "A", "mass_kg": -3, "moisture": 0.5, "c_to_n": 9, '
    '"carbon_dry": 0.4}]}',
    ("log", "left", "137F", "--at", "2026-12-31 08:00"): "",
    ("stock", "add", "2 pails hay"): "",
    ("stock", "add", "2 pails of chicken bones"): "",
}


@pytest.mark.parametrize(("words", "typed"), WRONG.items())
def test_messages_in_the_how_to_are_those_that_come(
    november: Terminal, words: tuple[str, ...], typed: str
) -> None:
    assert november.refused(*words, typed=typed) in HOW_TO
