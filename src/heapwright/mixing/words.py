"""Says amounts of containers as a person would: "2½ leaf bags of fallen leaves".

Knows English number words and plurals for containers. Knows nothing of recipes.
"""

from __future__ import annotations

from collections.abc import Sequence

from heapwright.mixing.types import Lot

_FRACTIONS = {0.25: "¼", 0.5: "½", 0.75: "¾", 0.125: "⅛", 0.375: "⅜", 0.625: "⅝", 0.875: "⅞"}


def containers(count: float, name: str) -> str:
    """Return a number of containers: "1 pail", "2½ leaf bags", "¾ wheelbarrow"."""
    whole = int(count)
    rest = _FRACTIONS.get(count - whole, "" if count == whole else f"{count - whole:.3f}"[1:])
    digits = f"{whole}{rest}" if whole or not rest else rest
    return f"{digits} {name if count <= 1 else plural(name)}"


def plural(name: str) -> str:
    """Return the plural of a container's name, as regular English makes it."""
    if name.endswith(("s", "x", "ch", "sh")):
        return f"{name}es"
    if name.endswith("y") and name[-2:-1] not in "aeiou":
        return f"{name[:-1]}ies"
    return f"{name}s"


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
