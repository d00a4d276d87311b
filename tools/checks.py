"""What `run.py check` looks at, in order; each check says its name and what it found.

Knows how to call the checkers, not what they are set to: that stands in pyproject.toml.
"""

from __future__ import annotations

import time

from tools import environment, lock, tidy
from tools.commands import run_quietly

PROGRAMS = {
    "style": ["ruff", "check", "."],
    "form": ["ruff", "format", "--check", "."],
    "types": ["mypy"],
    "floors": ["lint-imports", "--no-logo"],
}


def run_all() -> int:
    """Run every check and give 0 if all are content, else 1."""
    failed = [name for name, command in PROGRAMS.items() if not run_program(name, command)]
    if not tell("lock", lock.check(environment.UV)):
        failed.append("lock")
    if not tell("tidiness", tidy.check()):
        failed.append("tidiness")
    if failed:
        print(f"\nNot right yet: {', '.join(failed)}.")
        return 1
    print("\nAll checks are content.")
    return 0


def run_program(name: str, command: list[str]) -> bool:
    """Run one checker, print its words if it objects, and tell whether it was content."""
    started = time.monotonic()
    done = run_quietly([str(environment.BIN / command[0]), *command[1:]])
    content = done.returncode == 0
    seconds = time.monotonic() - started
    print(f"{'ok ' if content else 'NOT'} {name} ({' '.join(command)}, {seconds:.1f} s)")
    if not content:
        print(done.stdout)
    return content


def tell(name: str, faults: list[str]) -> bool:
    """Print one of our own checks' findings and tell whether there were none."""
    print(f"{'NOT' if faults else 'ok '} {name}")
    for fault in faults:
        print(f"   {fault}")
    return not faults
