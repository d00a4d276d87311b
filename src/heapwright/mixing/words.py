"""Says amounts of containers as a person would: "2½ leaf bags of fallen leaves".

Knows fractions of containers and lists in running text. Knows nothing of recipes.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from heapwright.mixing.types import Lot
from heapwright.quantities.containers import plural_of
from heapwright.wording import Figure, listed, lower_first, plural_word, upper_first, worded
from heapwright.wording import joined as joined_texts

_FRACTIONS = {2: "⅛", 4: "¼", 6: "⅜", 8: "½", 10: "⅝", 12: "¾", 14: "⅞"}


def containers(count: float, name: str) -> str:
    """Return a number of containers: "1 pail", "2½ leaf bags", "¾ wheelbarrow"."""
    # A part of one is said like one in every language the catalogue has.
    number = 1 if count <= 1 else max(2, count)
    things = plural_word(name, plural_of(name), number)
    return joined_texts((Figure(digits(count)), things))


def digits(count: float) -> str:
    """Return a count in digits, its rest as a fraction: "2½"."""
    whole, sixteenths = divmod(round(count * 16), 16)
    rest = _FRACTIONS.get(sixteenths, f"{sixteenths}/16")
    if whole and sixteenths:
        return f"{whole}{rest}" if sixteenths in _FRACTIONS else f"{whole} {rest}"
    return rest if sixteenths else f"{whole}"


def of_lot(count: float, lot: Lot) -> str:
    """Return so many containers with what is in them."""
    return worded(
        "{containers} of {material}",
        containers=containers(count, lot.container_name),
        material=low(lot.material.name),
    )


def low(name: str) -> str:
    """Return a name for the middle of a sentence."""
    return lower_first(name)


def high(text: str) -> str:
    """Return a text for the beginning of a sentence."""
    return upper_first(text)


def joined(words: Sequence[str], last: Literal["and", "or"] = "and") -> str:
    """Return words as a list in running text."""
    return listed(words, last)
