"""What must not be in any file we keep: paths of somebody's machine, hosts of package registries.

Reads the files git keeps (or, without git, the folders we ship). Knows nothing of style or types.
"""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

from tools import ROOT

# The words are put together here so that this file does not find itself.
_TOP_FOLDERS = ("work", "root", "tmp", "home", "Users", "mnt", "opt")
_REGISTRIES = (
    ("pypi", "org"),
    ("pythonhosted", "org"),
    ("npmjs", "org"),
    ("npmjs", "com"),
    ("deb.debian", "org"),
    ("crates", "io"),
    ("anaconda", "org"),
)
_MACHINE_PATH = re.compile(r"(?<![\w.:/<*~-])/(?:" + "|".join(_TOP_FOLDERS) + r")/[\w.-]")
_REGISTRY = re.compile("|".join(re.escape(".".join(parts)) for parts in _REGISTRIES))
_WITHOUT_GIT = ("src", "tests", "tools", "docs", ".ci")


def kept_files() -> list[Path]:
    """Files git keeps or is about to keep; without git, everything in the folders we ship."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    if listed.returncode == 0 and listed.stdout:
        paths = [ROOT / name for name in listed.stdout.split("\0") if name]
    else:
        paths = [path for folder in _WITHOUT_GIT for path in (ROOT / folder).rglob("*")]
        paths += list(ROOT.glob("*.*"))
    return sorted(path for path in paths if path.is_file() and "__pycache__" not in path.parts)


def text_of(path: Path) -> str:
    """Text of a file; empty for one that is not text, such as a picture."""
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return ""


def faults_in(text: str) -> list[str]:
    """Say which lines of a text hold a machine's path or a registry's host."""
    found = []
    for number, line in enumerate(text.splitlines(), start=1):
        if _MACHINE_PATH.search(line):
            found.append(f"line {number} holds a path of one machine")
        if _REGISTRY.search(line):
            found.append(f"line {number} names a package registry's host")
    return found


def check() -> list[str]:
    """Everything untidy in the files we keep, one sentence each."""
    return [
        f"{path.relative_to(ROOT)}: {fault}."
        for path in kept_files()
        for fault in faults_in(text_of(path))
    ]
