"""The one command: sets itself up, then starts Heapwright, its tests or its checks.

    python3 run.py                      start, and open the pages in a browser
    python3 run.py heapwright ARGS      the command line
    python3 run.py test [ARGS]          every test; ARGS go to pytest
    python3 run.py check                style, types, floors, lock and tidiness
    python3 run.py lock [--upgrade]     make requirements.lock anew from pyproject.toml

Needs nothing but Python 3.11 and a network the first time. This file must be readable by older
Pythons too, so that they can say what they lack; everything else is in tools/.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys

FLOOR = (3, 11)
NEWEST_LOOKED_FOR = 20
WORKERS = "2"


def main(arguments: list[str]) -> int:
    """Do what the command asks for and give the exit code."""
    if sys.version_info < FLOOR:
        return go_on_with_newer_python(arguments)
    # Only now: what is in tools/ is written for the newer Python.
    from tools import Stop

    try:
        return dispatch(arguments)
    except Stop as stop:
        print(f"run.py: {stop}", file=sys.stderr)
    except KeyboardInterrupt:
        print("\nrun.py: stopped by you.", file=sys.stderr)
    except OSError as error:
        print(f"run.py: this machine refused: {error}.", file=sys.stderr)
    return 1


def go_on_with_newer_python(arguments: list[str]) -> int:
    """Start again with a newer Python if there is one, otherwise say what is needed."""
    for minor in range(NEWEST_LOOKED_FOR, FLOOR[1] - 1, -1):
        newer = shutil.which(f"python3.{minor}")
        # A version manager's stand-in may exist without the Python behind it: ask it first.
        if newer and subprocess.call([newer, "-c", ""], stderr=subprocess.DEVNULL) == 0:
            return subprocess.call([newer, os.path.abspath(__file__), *arguments])
    have = ".".join(map(str, sys.version_info[:3]))
    print(
        f"run.py: Heapwright needs Python 3.{FLOOR[1]} or newer, and this is Python {have}; "
        "install a newer one (on Debian 12 and later `sudo apt-get install python3` is enough) "
        "and run this again with it.",
        file=sys.stderr,
    )
    return 1


def dispatch(arguments: list[str]) -> int:
    """Find the command and do it."""
    command, rest = (arguments[0], arguments[1:]) if arguments else ("", [])
    commands = {"": start, "heapwright": command_line, "test": test, "check": check, "lock": lock}
    if command in ("-h", "--help", "help"):
        print(__doc__)
        return 0
    if command not in commands:
        print(f"run.py: there is no command {command!r}; these are here:\n", file=sys.stderr)
        print(__doc__, file=sys.stderr)
        return 2
    return commands[command](rest)


def start(rest: list[str]) -> int:
    """Start the program with the demo garden if there is no garden yet."""
    return command_line(["serve", "--demo-if-empty", *rest])


def command_line(rest: list[str]) -> int:
    """Hand over to Heapwright's own command line."""
    from tools import commands, environment

    environment.ensure()
    command = [str(environment.PYTHON), "-m", "heapwright", *rest]
    sys.stdout.flush()
    if os.name == "posix":
        # Become the program, so that a signal or Ctrl-C reaches it and nothing stands between.
        os.execve(command[0], command, commands.clean_environment())
    return subprocess.call(command, env=commands.clean_environment())


def test(rest: list[str]) -> int:
    """Run the tests on two workers; without browser or broker their tests fail and say why."""
    from tools import ROOT, broker, chromium, commands, environment

    environment.ensure()
    for complaint in (chromium.find_or_install(), broker.find_or_install()):
        if complaint:
            print(complaint, file=sys.stderr)
    pytest = [str(environment.PYTHON), "-m", "pytest", "-n", WORKERS, "--dist", "loadfile"]
    pytest.append("--no-loadscope-reorder")  # tests/conftest.py knows better which to begin with
    return subprocess.call(
        [*pytest, *rest],
        cwd=ROOT,
        env=commands.clean_environment(),
        stdin=subprocess.DEVNULL,
    )


def check(rest: list[str]) -> int:
    """Run every check, all of them even if one fails."""
    from tools import checks, environment

    if rest:
        print("run.py: `check` takes no arguments.", file=sys.stderr)
        return 2
    environment.ensure()
    return checks.run_all()


def lock(rest: list[str]) -> int:
    """Make requirements.lock anew."""
    from tools import environment
    from tools import lock as lock_file

    if rest not in ([], ["--upgrade"]):
        print("run.py: `lock` takes nothing but --upgrade.", file=sys.stderr)
        return 2
    environment.ensure_uv()
    print(lock_file.write(environment.UV, upgrade=bool(rest)))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
