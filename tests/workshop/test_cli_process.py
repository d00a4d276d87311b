"""The command line as a real program: start, pipes, ports, signals, terminals, exit codes."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.request import urlopen

import pytest

from heapwright.cli import command_serve
from heapwright.journal.entries import EntryKind
from heapwright.web import server
from heapwright.workshop import setup
from heapwright.workshop.build import record_build
from heapwright.workshop.garden import Garden
from heapwright.workshop.stock import add_lot

HEAVY = {"numba", "scipy", "llvmlite", "alembic", "fastapi", "uvicorn", "httpx", "rich", "jinja2"}
PROGRAM = [sys.executable, "-m", "heapwright"]
#: Runs a command in a fresh process and then tells on the error stream what it had loaded.
TELL_MODULES = """
import sys
sys.argv[0] = "heapwright"
from heapwright.cli import main
try:
    main()
finally:
    print(*sys.modules, file=sys.stderr)
"""


class Shell:
    """Starts the program as a shell would, in a home of its own."""

    def __init__(self, home: Path) -> None:
        self.garden = home / "heapwright" / "garden.heapwright"
        self.environment = {
            name: value for name, value in os.environ.items() if not name.startswith("HEAPWRIGHT")
        } | {"XDG_DATA_HOME": str(home)}

    def run(
        self, *words: str, given: bytes = b"", **environment: str
    ) -> subprocess.CompletedProcess[bytes]:
        return subprocess.run(
            [*PROGRAM, *words],
            input=given,
            capture_output=True,
            env=self.environment | environment,
            check=False,
            timeout=120,
        )

    def modules(self, *words: str) -> set[str]:
        done = subprocess.run(
            [sys.executable, "-c", TELL_MODULES, *words],
            capture_output=True,
            text=True,
            env=self.environment,
            check=False,
            timeout=120,
        )
        assert done.returncode == 0, done.stderr
        return {name.partition(".")[0] for name in done.stderr.split()}


@pytest.fixture
def shell(tmp_path: Path) -> Shell:
    return Shell(tmp_path)


@pytest.fixture
def heap(shell: Shell) -> Shell:
    """Return a shell whose garden has a heap in the left bin."""
    shell.garden.parent.mkdir()
    with Garden.open(shell.garden) as garden:
        setup.save_bin(garden, name="Left", origin="page", width_m=0.9, depth_m=0.9, height_m=0.9)
        add_lot(garden, material="dry leaves", container="wheelbarrow", count=9, origin="page")
        record_build(garden, "left", {"leaves-mixed-dry": 9}, 60.0, "Leaves", origin="page")
    return shell


def test_help_loads_nothing_that_a_person_would_wait_for(shell: Shell) -> None:
    loaded = shell.modules("--help")
    assert loaded & (HEAVY | {"numpy", "sqlalchemy"}) == set()
    assert shell.modules("log", "--help") & (HEAVY | {"numpy", "sqlalchemy"}) == set()


def test_entry_at_the_bin_waits_for_no_compiler(heap: Shell) -> None:
    assert heap.modules("log", "left", "58C") & HEAVY == set()
    with Garden.open(heap.garden) as garden:
        assert garden.entries()[-1].kind is EntryKind.READING


def test_without_a_command_the_help_is_shown(shell: Shell) -> None:
    done = shell.run()
    assert done.returncode == 0
    assert b"Commands:" in done.stdout
    assert shell.run("--version").stdout.startswith(b"heapwright 0.")


def test_answer_is_utf8_on_a_terminal_that_knows_only_ascii(heap: Shell) -> None:
    done = heap.run("log", "left", "58C", LC_ALL="C", PYTHONIOENCODING="ascii", PYTHONUTF8="0")
    assert done.returncode == 0
    assert "°F" in done.stdout.decode("utf-8")


def test_words_that_are_no_text_are_no_stack_trace(shell: Shell) -> None:
    done = subprocess.run(
        [*PROGRAM, "materials", b"caf\xff"], capture_output=True, env=shell.environment, check=False
    )
    assert done.returncode == 2
    assert b"Traceback" not in done.stderr


def test_pipe_that_closes_early_is_calm(shell: Shell) -> None:
    with subprocess.Popen(
        [*PROGRAM, "materials", "--json"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=shell.environment,
    ) as running:
        assert running.stdout is not None
        assert running.stderr is not None
        running.stdout.close()
        complaint = running.stderr.read()
        code = running.wait(60)
    assert complaint == b""
    assert code == 141


def test_full_disk_on_the_way_out_is_a_sentence(shell: Shell) -> None:
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(
            [*PROGRAM, "materials"],
            stdout=full,
            stderr=subprocess.PIPE,
            env=shell.environment,
            check=False,
        )
    assert done.returncode == 3
    assert b"No space left" in done.stderr
    assert done.stderr.count(b"\n") == 1


@contextmanager
def taken_port() -> Iterator[int]:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        yield other.getsockname()[1]


def test_port_in_use_is_named_with_the_option_that_helps(heap: Shell) -> None:
    with taken_port() as port:
        done = heap.run("serve", "--no-open", "--port", str(port))
    assert done.returncode == 3
    sentence = done.stderr.decode()
    assert f"Port {port} is in use" in sentence
    assert "--port" in sentence
    assert "Traceback" not in sentence


def test_serve_answers_and_ctrl_c_ends_it_calmly(heap: Shell) -> None:
    with subprocess.Popen(
        [*PROGRAM, "serve", "--no-open", "--port", "0"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=heap.environment | {"PYTHONUNBUFFERED": "1"},
        text=True,
    ) as running:
        assert running.stdout is not None
        assert running.stderr is not None
        give_up = threading.Timer(120, running.kill)
        give_up.start()
        address = running.stdout.readline().split()[3]
        with urlopen(f"{address}api/bins") as reply:  # our own, on this machine
            assert [one["key"] for one in json.load(reply)] == ["left"]
        running.send_signal(signal.SIGINT)
        said, complaint = running.communicate()
        give_up.cancel()
    assert running.returncode == 0
    assert "Everything you entered is saved" in said
    assert complaint == ""


def test_serve_and_the_pages_agree_on_the_usual_port() -> None:
    assert command_serve.PORT == server.DEFAULT_PORT


def test_garden_is_named_by_option_environment_or_data_folder(heap: Shell, tmp_path: Path) -> None:
    other = tmp_path / "other.heapwright"
    assert heap.run("setup", "--name", "Other", "--garden", str(other)).returncode == 0
    by_variable = heap.run("setup", "--json", HEAPWRIGHT_GARDEN=str(other))
    assert json.loads(by_variable.stdout)["settings"]["name"] == "Other"
    usual = heap.run("setup", "--json")
    assert json.loads(usual.stdout)["settings"]["name"] == "Garden"
    relative = heap.run("bins", XDG_DATA_HOME="not/absolute", HOME=str(tmp_path / "nobody"))
    assert b"nobody/.local/share/heapwright" in relative.stderr
