"""Finds the garden's file and opens it.

Knows the data folder, the environment and what to say when there is no garden yet. Knows nothing
of what is in a garden.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from heapwright.cli import screen
from heapwright.errors import NotFound, StoreProblem
from heapwright.wording import worded

if TYPE_CHECKING:
    from heapwright.workshop.garden import Garden

VARIABLE = "HEAPWRIGHT_GARDEN"
FILE_NAME = "garden.heapwright"
DEMO_NAME = "demo.heapwright"


def _now() -> datetime:
    return datetime.now(UTC)


#: The clock that every command goes by.
clock: Callable[[], datetime] = _now


def data_folder() -> Path:
    """Return where a person's data belongs (XDG Base Directory Specification)."""
    given = os.environ.get("XDG_DATA_HOME", "")
    # The specification wants a relative path ignored.
    base = Path(given) if os.path.isabs(given) else Path("~/.local/share").expanduser()
    return base / "heapwright"


def garden_path(given: Path | None) -> Path:
    """Return the garden's file: the one given, or that of the data folder."""
    return data_folder() / FILE_NAME if given is None else given.expanduser()


def path_said(arguments: Sequence[str]) -> Path:
    """Return the garden's file that a line of arguments or the environment names."""
    said = os.environ.get(VARIABLE, "")
    for number, argument in enumerate(arguments):
        name, _, value = argument.partition("=")
        if name == "--garden":
            said = value or (arguments[number + 1] if number + 1 < len(arguments) else "")
    return garden_path(Path(said) if said else None)


@contextmanager
def opened(given: Path | None, *, make: bool = False) -> Iterator[Garden]:
    """Open the garden for one command and close it afterwards.

    Parameters
    ----------
    given : Path or None
        The file that was asked for.
    make : bool, default False
        Begin a new garden when there is none.

    Raises
    ------
    NotFound
        When there is none and none is to be begun.
    StoreProblem
        When it cannot be opened.

    """
    path = garden_path(given)
    if not path.exists():
        if not make:
            raise _no_garden(path)
        _make_folder(path)
    from heapwright.workshop.garden import Garden

    with Garden.open(path, clock) as garden:
        screen.speak(garden.reader().language)
        yield garden


@contextmanager
def opened_if_there(given: Path | None) -> Iterator[Garden | None]:
    """Open the garden when there is one; otherwise give None. For what works without one."""
    if given is None and not garden_path(None).exists():
        yield None
        return
    with opened(given) as garden:
        yield garden


def _no_garden(path: Path) -> NotFound:
    return NotFound(
        worded("There is no garden yet at {path}", path=path),
        instead=(
            'Make your first bin with `heapwright bins save "Left bin" "3 ft" "3 ft" "3 ft"`, '
            "look at an invented garden with `heapwright demo`, or name your file with --garden"
        ),
        kept="",
    )


def _make_folder(path: Path) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise StoreProblem(
            worded(
                "The folder {parent} could not be made: {strerror}",
                parent=path.parent,
                strerror=problem.strerror or problem,
            ),
            instead="Name a file in a folder that you may write in, with --garden",
        ) from problem
