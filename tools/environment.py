"""The virtual environment in .venv: made, filled from the lock, and left alone while it is right.

Every package comes from requirements.lock with its hash checked, the installer uv and the build
tools included; uv does the work where it runs, plain pip where it does not. A stamp says what the
environment was made from, so the usual start costs one comparison. Knows nothing of what is run.
"""

from __future__ import annotations

import hashlib
import importlib.util
import json
import os
import shutil
import sys
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tools import ROOT, Stop, debian, lock
from tools.commands import complaint_of, run_quietly

VENV = ROOT / ".venv"
BIN = VENV / ("Scripts" if os.name == "nt" else "bin")
PYTHON = BIN / ("python.exe" if os.name == "nt" else "python")
UV = BIN / ("uv.exe" if os.name == "nt" else "uv")
INSTALLED_STAMP = VENV / "installed.stamp"
WARMED_STAMP = VENV / "warmed.stamp"
HEAP = ROOT / "src" / "heapwright" / "heap"
NO_ENSUREPIP = (
    "This Python cannot make virtual environments because its ensurepip part is missing. "
    "On Debian get it with `sudo apt-get install python3-venv`, then run this again."
)


def ensure() -> None:
    """Make the environment what the lock says it should be, doing nothing if it already is."""
    with one_at_a_time():
        if not lock.LOCK.exists():
            raise Stop("requirements.lock is missing from this folder; fetch the project again.")
        if not venv_works():
            make_venv()
        wanted = installed_stamp()
        if read(INSTALLED_STAMP) != wanted:
            print("Setting up Heapwright's packages; this is done once …", flush=True)
            install_packages()
            INSTALLED_STAMP.write_text(wanted, encoding="utf-8")
        warm_the_heap()


def ensure_uv() -> None:
    """Make sure of uv alone, for making a lock where there is none yet to install from."""
    with one_at_a_time():
        if not venv_works():
            make_venv()
        if not UV.exists():
            complaint = complaint_of([str(PYTHON), "-m", "pip", "install", "--quiet", "uv"])
            if complaint:
                raise Stop(f"uv, which makes the lock, could not be installed: {complaint}")


@contextmanager
def one_at_a_time() -> Iterator[None]:
    """Hold back a second set-up of the same folder until the first is through."""
    with (ROOT / "run.py").open("rb") as held:
        try:
            import fcntl
        except ImportError:  # not on Windows: there two set-ups at once are the user's to avoid
            yield
            return
        fcntl.flock(held, fcntl.LOCK_EX)
        yield


def venv_works() -> bool:
    """Tell whether .venv starts, has pip, and still stands where it was made."""
    if not PYTHON.exists():
        return False
    probe = "import importlib.util as u, sys; sys.exit(u.find_spec('pip') is None)"
    if complaint_of([str(PYTHON), "-c", probe]):
        return False
    stamp = read(INSTALLED_STAMP).splitlines()
    return not stamp or stamp[0] == str(ROOT)


def make_venv() -> None:
    """Make .venv anew with the Python that runs this, getting Debian's part for it if missing."""
    if importlib.util.find_spec("ensurepip") is None:
        get_ensurepip()
    print("Making the virtual environment .venv …", flush=True)
    # Started from inside an environment, take the Python under it: ours may be the one removed.
    base = getattr(sys, "_base_executable", None) or sys.executable
    shutil.rmtree(VENV, ignore_errors=True)
    complaint = complaint_of([base, "-m", "venv", str(VENV)])
    if complaint:
        raise Stop(f"The virtual environment .venv could not be made: {complaint}")


def get_ensurepip() -> None:
    """Install Debian's python3-venv as root, or say how to get it."""
    if not debian.can_install():
        raise Stop(NO_ENSUREPIP)
    print("Getting python3-venv from Debian's packages …", flush=True)
    complaint = debian.install(["python3-venv"])
    importlib.invalidate_caches()
    if importlib.util.find_spec("ensurepip") is None:
        raise Stop(f"{NO_ENSUREPIP} (Installing it here did not help: {complaint or 'no error'})")


def install_packages() -> None:
    """Install the locked packages and the project itself, by uv or else by pip."""
    have_uv = install_uv()
    if not (have_uv and install_by_uv()):
        print("Going on with plain pip, which takes longer …", flush=True)
        install_by_pip()


def install_uv() -> bool:
    """Install the locked uv, hash checked, and tell whether it is there to be used."""
    entry = uv_entry()
    if not entry:
        return False
    version = entry.split("==")[1].split()[0]
    if UV.exists() and not complaint_of([str(UV), "--version"], expected=version):
        return True
    only_uv = VENV / "uv.txt"
    only_uv.write_text(entry, encoding="utf-8")
    pip = [str(PYTHON), "-m", "pip", "install", "--quiet", "--no-deps", "--only-binary=:all:"]
    return not complaint_of([*pip, "--require-hashes", "-r", str(only_uv)])


def uv_entry() -> str:
    """Give the lock's entry for uv, hashes included; empty if it has none."""
    entries = lock.blocks(lock.LOCK.read_text(encoding="utf-8"))
    return next((text for pin, text in entries.items() if pin.startswith("uv==")), "")


def install_by_uv() -> bool:
    """Install everything with uv and tell whether that went well."""
    install = [str(UV), "pip", "install", "--quiet", "--python", str(PYTHON)]
    packages = ["--require-hashes", "--compile-bytecode", "-r", str(lock.LOCK)]
    project = ["--no-deps", "--no-build-isolation", "--reinstall-package", "heapwright", "-e", "."]
    return not (complaint_of([*install, *packages]) or complaint_of([*install, *project]))


def install_by_pip() -> None:
    """Install everything but uv with pip, where uv has no wheel or cannot reach the registry."""
    locked = lock.LOCK.read_text(encoding="utf-8")
    without_uv = VENV / "without-uv.txt"
    entry = uv_entry()
    without_uv.write_text(locked.replace(entry, "") if entry else locked, encoding="utf-8")
    install = [str(PYTHON), "-m", "pip", "install", "--quiet", "--no-deps"]
    for what in (
        ["--require-hashes", "-r", str(without_uv)],
        ["--no-build-isolation", "-e", "."],
    ):
        complaint = complaint_of([*install, *what])
        if complaint:
            raise Stop(
                f"The packages could not be installed: {complaint}. "
                "Look whether this machine reaches its package registry, then run this again."
            )


def warm_the_heap() -> None:
    """Compile the heap model once, so that nobody waits for it at the bin.

    Told again when a file of the model or the cache's place changes. Failing here is not fatal:
    the first forecast then compiles, and says what is wrong if something is.
    """
    if not (HEAP / "warm.py").exists():
        return
    wanted = warmed_stamp()
    if read(WARMED_STAMP) == wanted:
        return
    print("Preparing the heap model; this is done once …", flush=True)
    complaint = complaint_of([str(PYTHON), "-m", "heapwright.heap.warm"])
    if complaint:
        print(f"The heap model could not be prepared now and will be at first use: {complaint}")
        return
    WARMED_STAMP.write_text(wanted, encoding="utf-8")


def installed_stamp() -> str:
    """Say what the environment is made from: place, lock, project tables and Python, in two lines.

    The settings of checkers do not count: changing them installs nothing.
    """
    tables = tomllib.loads(lock.PYPROJECT.read_text(encoding="utf-8"))
    build = tables.get("tool", {}).get("hatch", {})
    project = json.dumps([tables["project"], tables["build-system"], build], sort_keys=True)
    digest = hashlib.sha256(f"{python_version()}\n{project}\n".encode())
    digest.update(lock.LOCK.read_bytes())
    return f"{ROOT}\n{digest.hexdigest()}\n"


def warmed_stamp() -> str:
    """Say what the compiled heap was made from: the compiler's cache goes by time and size."""
    states = [(path.name, path.stat()) for path in sorted(HEAP.glob("*.py"))]
    parts = [f"{name} {state.st_mtime_ns} {state.st_size}" for name, state in states]
    return "\n".join([os.environ.get("NUMBA_CACHE_DIR", "beside the source"), *parts, ""])


def python_version() -> str:
    """Version of the Python in .venv."""
    return run_quietly([str(PYTHON), "-c", "import sys; print(sys.version)"]).stdout


def read(path: Path) -> str:
    """Text of a stamp; empty if there is none."""
    return path.read_text(encoding="utf-8") if path.exists() else ""
