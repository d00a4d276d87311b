"""A terminal for tests: runs commands in this process with a home, a garden and a clock of its own.

Knows how a command is run and read back. Knows nothing of what the commands answer.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from heapwright.cli import place
from heapwright.cli.app import app
from heapwright.workshop.garden import Garden

#: 07:00 at the garden, which lies in Phoenix's time zone (UTC-7 all year).
NOW = datetime(2026, 5, 4, 14, 0, tzinfo=UTC)


class Terminal:
    """Runs commands as a person with this home folder would."""

    def __init__(self, home: Path, now: datetime = NOW) -> None:
        self.home = home
        self.now = now
        self.garden = home / "heapwright" / place.FILE_NAME

    def run(self, *words: str, typed: str | bytes | None = None) -> Result:
        """Run a command and return what became of it."""
        environment = {"XDG_DATA_HOME": str(self.home), place.VARIABLE: None, "COLUMNS": "80"}
        return CliRunner().invoke(app, list(words), input=typed, env=environment)

    def tell(self, *words: str, typed: str | bytes | None = None) -> str:
        """Run a command that must succeed and return what it writes."""
        done = self.run(*words, typed=typed)
        assert done.exit_code == 0, done.output
        assert done.stderr == ""
        return str(done.stdout)

    def json(self, *words: str, typed: str | bytes | None = None) -> Any:
        """Run a command with --json and return its answer."""
        return json.loads(self.tell(*words, "--json", typed=typed))

    def refused(self, *words: str, code: int = 2, typed: str | bytes | None = None) -> str:
        """Run a command that must fail and return its sentence; JSON must say the same."""
        done = self.run(*words, typed=typed)
        assert done.exit_code == code, done.output
        assert done.stdout == ""
        sentence = str(done.stderr).strip()
        assert sentence.count("\n") == 0
        assert "Traceback" not in sentence
        assert sentence.endswith(".")
        return sentence

    @contextmanager
    def opened(self) -> Iterator[Garden]:
        """Open this terminal's garden as the workshop sees it, with the same clock."""
        with Garden.open(self.garden, lambda: self.now) as garden:
            yield garden


def a_terminal(home: Path, monkeypatch: pytest.MonkeyPatch) -> Terminal:
    """Return a terminal whose clock stands at `NOW`, or wherever the test puts it."""
    terminal = Terminal(home)
    monkeypatch.setattr(place, "clock", lambda: terminal.now)
    return terminal


def prepared(home: Path) -> Path:
    """Make a garden with bins, stock and a heap once, for many tests to copy; return its home."""
    with pytest.MonkeyPatch.context() as patch:
        with_heap(with_stock(with_bins(a_terminal(home, patch))))
    return home


def a_copy(home: Path, source: Path, monkeypatch: pytest.MonkeyPatch) -> Terminal:
    """Return a terminal whose garden is a copy of the prepared one."""
    shutil.copytree(source, home, dirs_exist_ok=True)
    return a_terminal(home, monkeypatch)


def with_bins(terminal: Terminal) -> Terminal:
    """Make two bins in a garden in a hot dry place, with a hose that was timed."""
    terminal.tell("bins", "save", "Left bin", "3 ft", "3 ft", "3 ft", "--key", "left")
    terminal.tell("bins", "save", "Middle bin", "90 cm", "90 cm", "90 cm")
    terminal.tell(
        "setup",
        *("--name", "Back yard"),
        *("--time-zone", "America/Phoenix"),
        *("--climate", "tucson"),
        *("--hose", "5 gal in 40 s"),
    )
    return terminal


def with_stock(terminal: Terminal) -> Terminal:
    """Put enough on hand to fill a bin."""
    terminal.tell("stock", "add", "14 leaf bags dry leaves", "--keep-back", "2")
    terminal.tell("stock", "add", "8 pails grass clippings")
    terminal.tell("stock", "add", "4 pails coffee grounds")
    return terminal


def with_heap(terminal: Terminal) -> Terminal:
    """Build a heap in the left bin four days ago, invented, by the command."""
    terminal.tell("build", "left", "--record", "--name", "May heap", "--at", "2026-04-30 08:00")
    return terminal
