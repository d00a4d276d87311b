"""Turns what a person saw into signs: smell, squeeze, and things found or not found.

Knows the signs a person can name and refuses what is none of them. Weighs nothing.
"""

from __future__ import annotations

from collections.abc import Iterable

from heapwright.diagnosis.tables import signs
from heapwright.diagnosis.types import FloatArray, Seen
from heapwright.errors import NotUnderstood
from heapwright.wording import worded

CHOICES = ("smell", "squeeze")
#: What a person may call by another name.
SAME_AS = {"mice": "rats", "raccoons": "rats"}


def ticks() -> tuple[str, ...]:
    """Return the signs that are found or not found, in the table's order."""
    return tuple(sign.id for sign in signs().values() if sign.kind == "tick")


def said(smell: str, squeeze: str, there: Iterable[str], gone: Iterable[str]) -> Seen:
    """Return what a person said they saw, by the names of the signs.

    Nothing is judged here; `seen_witnesses` refuses what is no sign.
    """

    def names(words: Iterable[str]) -> frozenset[str]:
        plain = (one.strip().casefold() for one in words)
        return frozenset(SAME_AS.get(one, one) for one in plain if one)

    return Seen(smell.strip().casefold(), squeeze.strip().casefold(), names(there), names(gone))


def seen_witnesses(seen: Seen) -> dict[str, FloatArray]:
    """Return what a person's look says; what was not looked at is left out.

    Raises
    ------
    NotUnderstood
        If something named is no sign, or is said to be there and not there.

    """
    found = {}
    for name, said in (("smell", seen.smell), ("squeeze", seen.squeeze)):
        if said:
            found[name] = signs()[name].one(_known(name, said, signs()[name].outcomes))
    both = sorted(seen.present & seen.absent)
    if both:
        raise NotUnderstood(
            worded('"{both}" is said to be there and not to be there', both=both[0]),
            why="it can only be one of the two",
            instead="Say only what you found",
            kept="Nothing was changed.",
        )
    for names, outcome in ((seen.present, "yes"), (seen.absent, "no")):
        for name in sorted(names):
            found[name] = signs()[_known("sign", name, ticks())].one(outcome)
    return found


def _known(what: str, said: str, known: tuple[str, ...]) -> str:
    if said not in known:
        raise NotUnderstood(
            worded('The {what} "{said}" is not known', what=what, said=said[:40]),
            why="it is none of those that can be weighed",
            instead=worded("Say one of: {known}", known=", ".join(known)),
            kept="Nothing was changed.",
        )
    return said
