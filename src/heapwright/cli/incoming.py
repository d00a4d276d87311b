"""Reads the file that a command is given, or what comes in for "-".

Knows what may be wrong with a file. Knows nothing of what is in it.
"""

from __future__ import annotations

import sys
from pathlib import Path

from heapwright.errors import NotFound, UnreadableFile
from heapwright.wording import worded

STANDARD_INPUT = "-"
LARGEST_BYTES = 5_000_000  # thousands of parts; more is another kind of file


def read_text(said: str) -> str:
    """Return the text of a file, or of standard input for "-".

    Raises
    ------
    NotFound, UnreadableFile
        If it is not there or is no text in UTF-8.

    """
    data = read_bytes(said, LARGEST_BYTES)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        raise UnreadableFile(
            worded("{said} is not text in UTF-8", said=_name(said)),
            instead="Save it as UTF-8 and try again",
        ) from problem


def read_bytes(said: str, most: int) -> bytes:
    """Return what a file holds, or what comes in for "-".

    Raises
    ------
    NotFound, UnreadableFile
        If it is not there, too large or may not be read.

    """
    try:
        if said == STANDARD_INPUT:
            data = sys.stdin.buffer.read(most + 1)
        else:
            with Path(said).expanduser().open("rb") as file:
                data = file.read(most + 1)
    except FileNotFoundError as problem:
        raise NotFound(
            worded('There is no file "{said}"', said=said), instead="Check its name and folder"
        ) from problem
    except IsADirectoryError as problem:
        raise UnreadableFile(
            worded('"{said}" is a folder', said=said), instead="Name the file in it"
        ) from problem
    except OSError as problem:
        raise UnreadableFile(
            worded(
                '"{said}" could not be read: {strerror}',
                said=said,
                strerror=problem.strerror or problem,
            ),
            instead="Check that you may read it",
        ) from problem
    if len(data) > most:
        raise UnreadableFile(
            worded("{said} is larger than {most:.0f} MB", said=_name(said), most=most / 1000000.0),
            instead="Check which file it is",
        )
    return data


def _name(said: str) -> str:
    return "What came in" if said == STANDARD_INPUT else f'"{Path(said).name}"'
