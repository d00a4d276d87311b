"""How depths and containers of a layer are said, rounded as far as a fork can tell.

Knows words for the build sheet. Knows nothing of layers.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from heapwright.mixing.constants import building
from heapwright.mixing.types import Layer, Lot, Recipe
from heapwright.mixing.words import containers, digits, low
from heapwright.quantities import UnitSystem, format_number, from_si
from heapwright.sentences import Reader
from heapwright.wording import Figure, joined, worded

#: Depths are said in steps a person can see; below one step it is "a dusting".
_STEPS = {UnitSystem.US: ("in", 0.25), UnitSystem.METRIC: ("cm", 0.5)}
_QUARTERS = {0.0: "", 0.25: "¼", 0.5: "½", 0.75: "¾"}


def depth_words(depth_m: float, reader: Reader) -> str:
    """Return a layer's depth: "2 cm", "¾ in", "4¼ in".

    Examples
    --------
    >>> depth_words(0.0184, Reader(UnitSystem.US)), depth_words(0.0184, Reader(UnitSystem.METRIC))
    ('¾ in', '2 cm')

    """
    unit, step = _STEPS[reader.units]
    value = max(step, round(from_si(depth_m, unit) / step) * step)
    if reader.units is UnitSystem.METRIC:
        return f"{format_number(value, 3)} {unit}"
    whole = int(value)
    return f"{whole or ''}{_QUARTERS[value - whole]} {unit}"


def counted(count: float, name: str) -> str:
    """Return a number of containers; one whose name begins with its size is set off.

    Examples
    --------
    >>> counted(2, "39 gal leaf bag"), counted(1.5, "wheelbarrow")
    ('2 × 39 gal leaf bag', '1½ wheelbarrows')

    """
    text = containers(count, name)
    if not name[:1].isdigit():
        return text
    return joined((Figure(digits(count)), "×", name))


def contents(layer: Layer) -> list[str]:
    """Return what a layer holds in words; lots of the same stuff in the same container as one."""
    return _added_up(layer.contents)


def take(recipe: Recipe) -> list[str]:
    """Return what a recipe takes in words, the same stuff as one."""
    return _added_up([(line.lot, line.count) for line in recipe.lines])


def _added_up(counts: Iterable[tuple[Lot, float]]) -> list[str]:
    sums: dict[tuple[str, str], float] = {}
    for lot, count in counts:
        same = (lot.container_name, lot.material.name)
        sums[same] = sums.get(same, 0.0) + count
    return [
        worded("{count} of {what}", count=counted(count, name), what=low(what))
        for (name, what), count in sums.items()
    ]


def for_layers() -> dict[str, Any]:
    """Return what the macro of the layers needs to say them."""
    return {
        "contents": contents,
        "depth_words": depth_words,
        "least_water_kg": building("least_layer_water_kg"),
    }
