"""Running other programs: with which environment, and what to make of what they say.

Knows nothing of which programs they are.
"""

from __future__ import annotations

import os
import ssl
import subprocess
from pathlib import Path

from tools import ROOT

# A caller's own Python settings must not reach into our environment.
FOREIGN = ("PYTHONHOME", "PYTHONPATH", "VIRTUAL_ENV", "__PYVENV_LAUNCHER__")


def clean_environment() -> dict[str, str]:
    """Environment variables for whatever we start, without another Python's settings.

    uv brings its own list of authorities. Where the machine has one, that is the one its owner
    looks after (a proxy's own authority stands only there), so uv is told to use it.
    """
    clean = {name: value for name, value in os.environ.items() if name not in FOREIGN}
    if has_authorities():
        clean.setdefault("UV_SYSTEM_CERTS", "1")
    return clean


def has_authorities() -> bool:
    """Tell whether this machine has a list of certificate authorities."""
    places = ssl.get_default_verify_paths()
    if places.cafile:
        return True
    return bool(places.capath) and any(Path(places.capath).iterdir())


def run_quietly(command: list[str]) -> subprocess.CompletedProcess[str]:
    """Run a command in the project's folder without input; its two outputs come as one text."""
    return subprocess.run(
        command,
        cwd=ROOT,
        env=clean_environment(),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )


def complaint_of(command: list[str], *, expected: str = "") -> str:
    """Run a command quietly; empty if it went well, otherwise the last thing it said.

    With `expected`, a command that does not print that text has not gone well either.
    """
    try:
        done = run_quietly(command)
    except OSError as error:
        return str(error)
    if done.returncode == 0 and expected in done.stdout:
        return ""
    return last_line(done.stdout)


def last_line(text: str) -> str:
    """Last line that says anything, for a sentence about a command that failed."""
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    return lines[-1] if lines else "it said nothing"
