"""Reads a document that somebody wrote as JSON, and says in a sentence why it is none.

Knows JSON and how its names are repeated to a person. Knows nothing of what a document holds.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from functools import partial
from typing import Any

from heapwright.errors import NotUnderstood
from heapwright.wording import worded

_LONGEST = 60  # letters that a sentence repeats of what somebody wrote


def read_json(text: str, name: str, looks_like: str) -> Any:
    """Return what a JSON text holds, refusing what is not clear.

    Parameters
    ----------
    text : str
    name : str
        What it is to the person, to begin a sentence with: "The mixture".
    looks_like : str
        The beginning of a right one.

    Raises
    ------
    NotUnderstood
        If it is not JSON, gives a name twice, or holds what is no finite number or no whole letter.

    """
    try:
        told = json.loads(
            text,
            parse_constant=partial(_no_constant, name),
            object_pairs_hook=partial(_once, name),
        )
        json.dumps(told, ensure_ascii=False).encode("utf-8")
    except UnicodeEncodeError as problem:
        raise NotUnderstood(
            worded("{name} holds half a letter", name=name),
            why=worded(
                "{object!r} stands for nothing without its other half",
                object=problem.object[problem.start],
            ),
            instead="Write the letter itself",
        ) from problem
    except (ValueError, RecursionError) as problem:
        why = "its brackets are nested too deep, or a number has too many digits"
        if isinstance(problem, json.JSONDecodeError):
            why = worded(
                "line {lineno}, character {colno}: {msg}",
                lineno=problem.lineno,
                colno=problem.colno,
                msg=problem.msg,
            )
        raise NotUnderstood(
            worded("{name} is not written as JSON", name=name),
            why=why,
            instead=worded("It should look like {looks_like}", looks_like=looks_like),
        ) from problem
    return told


def _no_constant(name: str, word: str) -> float:
    raise NotUnderstood(
        worded("{name} holds {word}", name=name, word=word),
        why="it must be a finite number",
        instead="Give it as digits",
    )


def _once(name: str, pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise NotUnderstood(
                worded('{name} gives "{key}" twice in one place', name=name, key=cut(key)),
                why="it is not clear which of the two is meant",
                instead="Keep one",
            )
        found[key] = value
    return found


def cut(text: str) -> str:
    """Return a text short enough for a sentence, and printable everywhere."""
    printable = text.encode("utf-8", "replace").decode("utf-8")
    return printable if len(printable) <= _LONGEST else f"{printable[:_LONGEST]}..."


def listed(words: Iterable[str]) -> str:
    """Return words in quotes, with commas."""
    return ", ".join(f'"{word}"' for word in words)
