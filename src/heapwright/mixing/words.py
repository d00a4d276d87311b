"""Says amounts of containers as a person would: "2½ leaf bags of fallen leaves".

Knows fractions of containers and lists in running text. Knows nothing of recipes.
"""

from __future__ import annotations

from collections.abc import Sequence

from heapwright.mixing.types import Lot
from heapwright.quantities.containers import plural_of

_FRACTIONS = {2: "⅛", 4: "¼", 6: "⅜", 8: "½", 10: "⅝", 12: "¾", 14: "⅞"}


def containers(count: float, name: str) -> str:
    """Return a number of containers: "1 pail", "2½ leaf bags", "¾ wheelbarrow"."""
    whole, sixteenths = divmod(round(count * 16), 16)
    rest = _FRACTIONS.get(sixteenths, f"{sixteenths}/16")
    digits = f"{whole}" if not sixteenths else rest
    if whole and sixteenths:
        digits = f"{whole}{rest}" if sixteenths in _FRACTIONS else f"{whole} {rest}"
    return f"{digits} {name if count <= 1 else plural_of(name)}"


def of_lot(count: float, lot: Lot) -> str:
    """Return so many containers with what is in them."""
    return f"{containers(count, lot.container_name)} of {low(lot.material.name)}"


def low(name: str) -> str:
    """Return a name for the middle of a sentence."""
    return name[:1].lower() + name[1:]


def high(text: str) -> str:
    """Return a text for the beginning of a sentence."""
    return text[:1].upper() + text[1:]


def joined(words: Sequence[str], last: str = "and") -> str:
    """Return words as a list in running text."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"
