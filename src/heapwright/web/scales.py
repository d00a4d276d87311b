"""How heat and water are drawn: steps of colour, lines with their numbers, the limits.

Knows drawing only: cells are drawn as whole tenths of a degree and of a per cent. What a limit
means is said where it is taken from.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heapwright.quantities import temperature_in
from heapwright.sentences import Reader
from heapwright.web import gauge, heat
from heapwright.workshop.answers import CrossSection, FloatArray

#: What is drawn for one degree Celsius, and for a moisture of one.
PER_DEGREE, PER_SHARE = 10.0, 1000.0
_PER_CENT = 100.0
#: First edge and step of the water's colours, and every which edge is a line with its number;
#: ours, for the eye: the scale covers what heaps hold, from dust dry to dripping.
_FIRST_SHARE, _SHARE_STEP, STEPS = 0.25, 0.05, heat.STEPS
_EVERY = 2


@dataclass(frozen=True, slots=True)
class Scale:
    """How one quantity is drawn; all values as drawn.

    Attributes
    ----------
    name : str
        "heat" or "water".
    edges : tuple of int
        Between the steps of colour.
    lines : tuple of int
        Those that are lines with their number.
    limits : tuple of int
        Drawn as dashed lines.
    dry, wet : int or None
        Below the one dots are drawn over the colour, from the other on waves.
    times, plus : float
        The number shown is `times * value + plus`.

    """

    name: str
    edges: tuple[int, ...]
    lines: tuple[int, ...]
    limits: tuple[int, ...]
    dry: int | None
    wet: int | None
    times: float
    plus: float

    def number(self, value: float) -> str:
        """Return the whole number shown for a value, half a step going up."""
        return f"{np.floor(self.times * value + self.plus + 0.5):.0f}".replace("-", "−")

    def cells(self, section: CrossSection) -> NDArray[np.int64]:
        """Return the section's cells as drawn, shape (radii, heights)."""
        if self.name == "heat":
            return _whole(section.temperature_c * PER_DEGREE)
        return _whole(section.moisture * PER_SHARE)


def heat_scale(heat_line_c: float, reader: Reader) -> Scale:
    """Return how temperatures are drawn; numbers in the reader's degrees."""
    unit = reader.units.temperature_unit
    edges_c = [heat.FIRST_EDGE_C + heat.STEP_C * step for step in range(heat.STEPS - 1)]
    limit = round(heat_line_c * PER_DEGREE)
    edges = tuple(round(edge * PER_DEGREE) for edge in edges_c)
    zero = temperature_in(0.0, unit)
    return Scale(
        name="heat",
        edges=edges,
        lines=tuple(edge for edge in edges[::_EVERY] if edge != limit),
        limits=(limit,),
        dry=None,
        wet=None,
        times=(temperature_in(1.0, unit) - zero) / PER_DEGREE,
        plus=zero,
    )


def water_scale() -> Scale:
    """Return how moisture is drawn, in per cent, with the limits of the water gauge."""
    dry, _, wet = (round(mark * PER_SHARE) for mark in gauge.damp_marks())
    edges = tuple(
        round((_FIRST_SHARE + _SHARE_STEP * step) * PER_SHARE) for step in range(STEPS - 1)
    )
    return Scale(
        name="water",
        edges=edges,
        lines=tuple(edge for edge in edges[1::_EVERY] if edge not in (dry, wet)),
        limits=(dry, wet),
        dry=dry,
        wet=wet,
        times=_PER_CENT / PER_SHARE,
        plus=0.0,
    )


def water_marks() -> list[tuple[int, str]]:
    """Return (step, words) for every third edge of the water's colours, such as (1, "25")."""
    edges = {step: _FIRST_SHARE + _SHARE_STEP * (step - 1) for step in range(1, STEPS, 3)}
    return [(step, f"{edge * _PER_CENT:.0f}") for step, edge in edges.items()]


def _whole(values: FloatArray) -> NDArray[np.int64]:
    return np.rint(values).astype(np.int64)
