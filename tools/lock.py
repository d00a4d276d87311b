"""requirements.lock: making it, and telling whether it still says what pyproject.toml asks for.

The lock holds pins, hashes and markers, and no address: uv's own lock format writes down whichever
registry or mirror its maker used, so we do not keep that one. Freshness is told twice: by a hash of
the dependency tables written into the lock (works without a network), and by resolving again with
the present pins preferred (needs one). Knows nothing of installing.
"""

from __future__ import annotations

import hashlib
import json
import re
import tempfile
import tomllib
from pathlib import Path

from tools import ROOT, Stop
from tools.commands import last_line, run_quietly

PYPROJECT = ROOT / "pyproject.toml"
LOCK = ROOT / "requirements.lock"
PYTHON_FLOOR = "3.11"
ASKED_MARK = "# dependency-tables-sha256: "
HEADER = f"""\
# Every package Heapwright runs, builds and is tested with, for Python {PYTHON_FLOOR} and later.
# Made by `python3 run.py lock` from pyproject.toml. Do not edit. No address stands here on purpose.
"""
REMEDY = "Run `python3 run.py lock` and commit requirements.lock with pyproject.toml."
# How uv begins the sentence when the asked-for packages contradict one another, network or not.
UNSOLVABLE = "No solution found"


def asked_hash(pyproject_text: str) -> str:
    """Hash of what pyproject.toml asks for; other settings and the order of keys do not count."""
    tables = tomllib.loads(pyproject_text)
    project = tables["project"]
    asked = {
        "requires-python": project["requires-python"],
        "dependencies": project["dependencies"],
        "optional-dependencies": project.get("optional-dependencies", {}),
        "dependency-groups": tables.get("dependency-groups", {}),
    }
    return hashlib.sha256(json.dumps(asked, sort_keys=True).encode()).hexdigest()


def pins(lock_text: str) -> list[str]:
    """Pinned packages with their markers, without hashes and comments.

    Hashes are left out because a registry may gain a file for a version we already pinned.
    """
    lines = (line.removesuffix("\\").strip() for line in lock_text.splitlines())
    return sorted(line for line in lines if re.match(r"[A-Za-z0-9]", line))


def faults(lock_text: str, pyproject_text: str) -> list[str]:
    """Everything wrong with a lock that can be seen without a network, one sentence each."""
    found = []
    if "://" in lock_text:
        found.append(f"requirements.lock holds an address; it must hold none. {REMEDY}")
    if ASKED_MARK + asked_hash(pyproject_text) not in lock_text.splitlines():
        found.append(f"requirements.lock is older than the tables of pyproject.toml. {REMEDY}")
    unhashed = [pin for pin, block in blocks(lock_text).items() if "--hash=sha256:" not in block]
    if unhashed:
        found.append(f"requirements.lock has no hash for {', '.join(unhashed)}. {REMEDY}")
    return found


def blocks(lock_text: str) -> dict[str, str]:
    """Each pin's whole entry, hashes included, under its pin as `pins` writes it."""
    entries: dict[str, str] = {}
    current = ""
    for line in lock_text.splitlines():
        if line.startswith("#"):
            continue
        if re.match(r"[A-Za-z0-9]", line):
            current = line.removesuffix("\\").strip()
            entries[current] = ""
        if current:
            entries[current] += line + "\n"
    return entries


def resolve(uv: Path, *, present: str) -> str:
    """Resolve what pyproject.toml asks for, keeping the present pins wherever they still fit.

    Raises
    ------
    Stop
        If uv could not; the sentence ends in uv's own last words.
    """
    with tempfile.TemporaryDirectory() as folder:
        output = Path(folder) / LOCK.name
        output.write_text(present, encoding="utf-8")
        groups = [f"--group={name}" for name in dependency_groups()]
        command = [str(uv), "pip", "compile", PYPROJECT.name, *groups, "--universal"]
        command += ["--python-version", PYTHON_FLOOR, "--generate-hashes", "--no-header"]
        command += ["--no-annotate", "--quiet", "--output-file", str(output)]
        done = run_quietly(command)
        if done.returncode != 0:
            said = UNSOLVABLE if UNSOLVABLE in done.stdout else last_line(done.stdout)
            raise Stop(f"The packages could not be resolved: {said}")
        return output.read_text(encoding="utf-8")


def dependency_groups() -> list[str]:
    """Names of the dependency groups, all of which are locked."""
    return sorted(tomllib.loads(PYPROJECT.read_text(encoding="utf-8"))["dependency-groups"])


def write(uv: Path, *, upgrade: bool) -> str:
    """Make requirements.lock anew and say in one sentence what changed."""
    before = LOCK.read_text(encoding="utf-8") if LOCK.exists() else ""
    resolved = resolve(uv, present="" if upgrade else before)
    mark = ASKED_MARK + asked_hash(PYPROJECT.read_text(encoding="utf-8"))
    text = f"{HEADER}{mark}\n{resolved}"
    wrong = faults(text, PYPROJECT.read_text(encoding="utf-8"))
    if wrong:
        raise Stop("The new lock was not kept: " + " ".join(wrong))
    LOCK.write_text(text, encoding="utf-8")
    changed = len(set(pins(text)) ^ set(pins(before)))
    return f"requirements.lock holds {len(pins(text))} packages; {changed} lines differ."


def check(uv: Path) -> list[str]:
    """Everything wrong with the lock in this folder, resolving again where there is a network."""
    if not LOCK.exists():
        return [f"requirements.lock is missing. {REMEDY}"]
    text = LOCK.read_text(encoding="utf-8")
    found = faults(text, PYPROJECT.read_text(encoding="utf-8"))
    try:
        again = pins(resolve(uv, present=text))
    except Stop as stop:
        if UNSOLVABLE in str(stop):
            return [*found, f"pyproject.toml asks for packages that contradict one another. {stop}"]
        print(f"   (not resolved again, only the recorded hash was compared: {stop})")
        return found
    differing = sorted(set(again) ^ set(pins(text)))
    if differing:
        found.append(f"Resolving again changes {', '.join(differing[:5])}. {REMEDY}")
    return found
