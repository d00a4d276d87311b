"""Turns whatever goes wrong in a command into one calm sentence and an exit code.

Knows which mistake has which exit code, where a stack trace is kept, and what a closed pipe or
Ctrl-C means. Knows nothing of what the commands do. A person never sees a stack trace.
"""

from __future__ import annotations

import contextlib
import json
import logging
import os
import re
import sys
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, TextIO

import typer
from typer.core import TyperGroup
from typer.exceptions import TyperException

from heapwright import __version__
from heapwright.cli import place, screen
from heapwright.errors import (
    BalanceBroken,
    HeapwrightError,
    NotUnderstood,
    ServiceProblem,
    StoreProblem,
)
from heapwright.wording import worded

BAD_INPUT = 2
TROUBLE = 3
STOPPED = 130  # as shells number a program ended by Ctrl-C (128 + SIGINT)
PIPE_CLOSED = 141  # as shells number a program whose reader went away (128 + SIGPIPE)

_TROUBLES = (StoreProblem, ServiceProblem, BalanceBroken)
LOG = "heapwright.cli"
_NEGATIVE = re.compile(r"-\d")


class CalmGroup(TyperGroup):
    """The commands of the program, run so that nothing that goes wrong is told as a trace."""

    def main(
        self,
        args: Sequence[str] | None = None,
        prog_name: str | None = None,
        complete_var: str | None = None,
        standalone_mode: bool = True,
        windows_expand_args: bool = True,
        **extra: Any,
    ) -> Any:
        """Run the command that the arguments name and leave with its exit code."""
        sys.exit(run(self, list(sys.argv[1:] if args is None else args)))


def run(group: TyperGroup, arguments: Sequence[str]) -> int:
    """Run a command and return its exit code; every problem has been told when it returns.

    Parameters
    ----------
    group : TyperGroup
        The commands.
    arguments : sequence of str
        What was typed behind the program's name.

    """
    _speak_utf8()
    try:
        code = _run(group, arguments)
        sys.stdout.flush()
    except BrokenPipeError:
        _let_go(sys.stdout)
        return PIPE_CLOSED
    except OSError as problem:  # the terminal or file that is written to refuses
        _let_go(sys.stdout)
        _complain(_refused(problem).sentence(), sys.stderr)
        return TROUBLE
    return code


def _run(group: TyperGroup, arguments: Sequence[str]) -> int:
    try:
        with group.make_context("heapwright", list(_with_true_minus(arguments))) as context:
            group.invoke(context)
    except typer.Exit as leaving:
        return leaving.exit_code
    except BrokenPipeError:
        raise
    except (KeyboardInterrupt, typer.Abort):
        _complain("Stopped by you.", sys.stderr)
        return STOPPED
    except (HeapwrightError, TyperException) as problem:
        code, told = _explained(problem)
    except Exception as defect:
        where = log_beside(place.path_said(arguments))
        logging.getLogger(LOG).error("heapwright %s", __version__, exc_info=defect)
        code, told = TROUBLE, _refused(defect) if isinstance(defect, OSError) else _ours(where)
    else:
        return 0
    tell(told, as_json="--json" in arguments)
    return code


def _explained(problem: HeapwrightError | TyperException) -> tuple[int, HeapwrightError]:
    """Return the exit code and the words for a problem that was foreseen."""
    if isinstance(problem, TyperException):
        return BAD_INPUT, _usage(problem)
    return TROUBLE if isinstance(problem, _TROUBLES) else BAD_INPUT, problem


def _ours(where: str) -> HeapwrightError:
    return HeapwrightError(
        "Something broke inside Heapwright",
        why="It is a fault of the program, not a mistake of yours",
        instead=worded("Please report it with the file {where}", where=where)
        if where
        else "Please report it",
        kept="What was saved before is still saved; look whether your last entry is there.",
    )


def tell(problem: HeapwrightError, *, as_json: bool) -> None:
    """Tell a problem: in words on the error stream, or as JSON where the answer would stand."""
    if not as_json:
        _complain(screen.told(problem.sentence()), sys.stderr)
        return
    parts = {
        "code": problem.code,
        "sentence": screen.told(problem.sentence()),
        "what": screen.told(problem.what),
        "why": screen.told(problem.why),
        "instead": screen.told(problem.instead),
        "kept": screen.told(problem.kept),
    }
    _complain(json.dumps({"error": parts}, ensure_ascii=False, indent=2), sys.stdout)


def _complain(text: str, stream: TextIO) -> None:
    print(text, file=stream, flush=True)


def _usage(problem: TyperException) -> HeapwrightError:
    context = getattr(problem, "ctx", None)
    path = getattr(context, "command_path", "heapwright")
    told = NotUnderstood(
        problem.format_message(),
        instead=worded("`{path} --help` tells how", path=path),
        kept="Nothing was done.",
    )
    told.code = "usage"
    return told


def _refused(problem: OSError) -> ServiceProblem:
    name = f" ({Path(str(problem.filename)).name})" if problem.filename else ""
    return ServiceProblem(
        worded(
            "This machine refused{name}: {strerror}",
            name=name,
            strerror=problem.strerror or problem,
        ),
        kept="What was saved before is still saved.",
    )


def log_beside(garden: Path) -> str:
    """Let faults be written to a file beside the garden; return where, "" if nowhere can be."""
    log = logging.getLogger(LOG)
    log.propagate = False
    for old in list(log.handlers):
        log.removeHandler(old)
        old.close()
    log.addHandler(logging.NullHandler())
    for path in _log_places(garden):
        with contextlib.suppress(OSError):
            path.parent.mkdir(parents=True, exist_ok=True)
            file = logging.FileHandler(path, encoding="utf-8", errors="backslashreplace")
            file.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))
            log.addHandler(file)
            return str(path)
    return ""


def _log_places(garden: Path) -> Iterator[Path]:
    yield garden.with_suffix(".log")
    yield Path(tempfile.gettempdir()) / "heapwright.log"


def _with_true_minus(arguments: Sequence[str]) -> Iterator[str]:
    """Give a temperature below zero its true minus sign, so that it is not taken for an option."""
    before = ""
    for argument in arguments:
        free = not before.startswith("--") or "=" in before
        yield "−" + argument[1:] if free and _NEGATIVE.match(argument) else argument
        before = argument


def _speak_utf8() -> None:
    """Write UTF-8 whatever the terminal says of itself, and never fail on a letter."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(encoding="utf-8", errors="backslashreplace")


def _let_go(stream: TextIO) -> None:
    """Point a stream that cannot be written to nowhere, so that leaving does not try again."""
    with contextlib.suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)
