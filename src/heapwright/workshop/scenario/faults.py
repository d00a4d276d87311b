"""Turns what is wrong with a scenario's form into one sentence for whoever wrote it.

Knows how a place in the document is named and what each kind of fault means. Knows no heap.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from difflib import get_close_matches
from typing import Any

from pydantic import ValidationError

from heapwright.errors import HeapwrightError, NotUnderstood, OutOfRange
from heapwright.json_text import cut, listed
from heapwright.wording import worded

KEPT = "Nothing was run."
_PERCENT = 100.0

#: What a value should be, by the kind of fault: why it is none, and what would be right.
_KINDS: Mapping[str, tuple[str, str]] = {
    "float_type": (
        "it must be a number without quotes, unit or percent sign",
        "Write digits, such as 0.6",
    ),
    "finite_number": ("it must be a number that ends", "Write it with fewer digits"),
    "string_type": ("it must be words in quotes", 'Write it such as "3 ft" or "dry leaves"'),
    "string_too_short": ("nothing is said", "Write a word"),
    "string_too_long": ("so many letters are no name", "Write it shorter"),
    "list_type": ("a list is expected here", "Write it in brackets: [ ]"),
    "too_short": ("the list is empty", "Write at least one, or leave it out"),
    "too_long": ("the list is too long to be meant", "Write fewer"),
    "model_type": ("it should be a set of names with values", "Write it in braces: { }"),
    "dict_type": ("it should be a set of names with values", "Write it in braces: { }"),
}


def sentence(problem: ValidationError) -> HeapwrightError:
    """Return the first fault as an error for a person, with how many more there are."""
    faults = problem.errors(include_url=False)
    first = faults[0]
    more = {"message": first["msg"], **first.get("ctx", {})}
    told = _told(first["type"], _place(first["loc"]), first["input"], more)
    if len(faults) > 1:
        count = (
            "1 more thing needs"
            if len(faults) == 2
            else worded("{number} more things need", number=len(faults) - 1)
        )
        told.instead = worded(
            "{instead}. After that {count} mending", instead=told.instead, count=count
        )
    return type(told)(told.what, why=told.why, instead=told.instead, kept=KEPT)


def _told(kind: str, place: str, given: Any, more: Mapping[str, Any]) -> HeapwrightError:
    if kind == "missing":
        return NotUnderstood(worded("{place} is missing", place=place), instead="Give it")
    if kind == "name":
        return _unknown_name(place, more["name"], more["known"])
    if kind == "null":
        what = worded('{place} has null for "{name}"', place=place, name=cut(more["name"]))
        return NotUnderstood(what, why="null says nothing", instead="Leave it out")
    if kind == "one_of":
        return _one_of(place, more["names"], given)
    if kind == "word":
        name, *known = more["message"].split(",")
        return _which_word(place, name, known, given)
    if kind in ("enum", "literal_error"):
        return _other_word(place, given, str(more["expected"]).replace("'", '"'))
    if kind in _LIMITS:
        return _outside(kind, place, given, more)
    why, instead = _KINDS.get(kind, ("it is not what is expected here", "Look at the schema"))
    return NotUnderstood(f"{place} is {shown(given)}", why=why, instead=instead)


def _unknown_name(place: str, name: str, known: Iterable[str]) -> NotUnderstood:
    near = get_close_matches(name, list(known), n=1)
    meant = worded('Did you mean "{near}"? ', near=near[0]) if near else ""
    return NotUnderstood(
        worded('{place} has the unknown name "{name}"', place=place, name=cut(name)),
        why="a name that is not understood would be left out unseen",
        instead=worded("{meant}Known names are {known}", meant=meant, known=listed(known)),
    )


def _one_of(place: str, names: Iterable[str], told: Any) -> NotUnderstood:
    given = [name for name in names if name in told]
    if given:
        what, why = (
            worded("{place} gives {given} together", place=place, given=listed(given)),
            "two can disagree, and one is enough",
        )
        return NotUnderstood(what, why=why, instead="Keep one")
    return NotUnderstood(
        worded("{place} lacks one of {names}", place=place, names=listed(names)),
        why="exactly one is needed",
        instead="Give it",
    )


def _which_word(place: str, name: str, known: Iterable[str], told: Any) -> NotUnderstood:
    if isinstance(told, Mapping) and name in told:
        return _other_word(f"{place}, {name}", told[name], listed(known))
    return NotUnderstood(
        worded('{place} has no "{name}"', place=place, name=name),
        why="without it nobody knows what is meant",
        instead=worded("Write one of {known}", known=listed(known)),
    )


def _other_word(place: str, given: Any, known: str) -> NotUnderstood:
    return NotUnderstood(
        f"{place} is {shown(given)}",
        why="no such word is known here",
        instead=worded("Write one of {known}", known=known.replace(" or ", ", ")),
    )


_LIMITS: Mapping[str, tuple[str, str]] = {
    "greater_than": ("gt", "above"),
    "greater_than_equal": ("ge", "at least"),
    "less_than": ("lt", "below"),
    "less_than_equal": ("le", "at most"),
}


def _outside(kind: str, place: str, given: Any, more: Mapping[str, Any]) -> OutOfRange:
    name, word = _LIMITS[kind]
    limit = float(more[name])
    share = name in ("lt", "le") and limit == 1.0 and 1.0 < given <= _PERCENT
    return OutOfRange(
        f"{place} is {shown(given)}",
        why=worded("it must be {word} {limit:g}", word=word, limit=limit),
        instead=worded("Did you mean {given:g}?", given=given / _PERCENT)
        if share
        else "Check the number and its unit",
    )


def _place(where: tuple[int | str, ...]) -> str:
    """Return a place in words: "The scenario's actions, number 2, water_l"."""
    # The names of kinds ("a square bin") stand between those the person wrote.
    parts = [part for part in where if isinstance(part, int) or " " not in part]
    words = [
        worded("number {part}", part=part + 1) if isinstance(part, int) else part for part in parts
    ]
    return worded("The scenario's {words}", words=", ".join(words)) if words else "The scenario"


def shown(value: Any) -> str:
    """Return a value as it may be repeated to a person: short, words in quotes."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if value is None:
        return "null"
    if isinstance(value, Mapping):
        return "a set of names"
    if isinstance(value, list):
        return "a list"
    if isinstance(value, str):
        return f'"{cut(value)}"'
    try:
        return f"{value:g}"
    except (OverflowError, ValueError):
        return "a number of very many digits"
