"""The steps of the heat scale: which colour class a temperature is drawn in.

Knows the scale's ends and step, a matter of drawing only. Knows nothing of what a temperature
means for a heap; the number always stands beside the colour.
"""

from __future__ import annotations

from heapwright.quantities import UnitSystem, temperature_in

#: Warmest temperature of the first step and width of each step, ours, for the eye: the scale
#: covers what heaps read, from cold matter to well above the hottest wanted.
FIRST_EDGE_C = 20.0
STEP_C = 5.0
STEPS = 12


def heat_step(celsius: float) -> int:
    """Return the step of the scale, 0 (below the first edge) to `STEPS` - 1.

    Examples
    --------
    >>> heat_step(12.0), heat_step(20.0), heat_step(57.0), heat_step(80.0)
    (0, 1, 8, 11)

    """
    return min(STEPS - 1, max(0, int((celsius - FIRST_EDGE_C) // STEP_C) + 1))


def heat_class(celsius: float) -> str:
    """Return the class of tokens.css for a temperature, "heat-8"."""
    return f"heat-{heat_step(celsius)}"


def scale_marks(units: UnitSystem) -> list[tuple[int, str]]:
    """Return (step, words) for every third edge of the scale, such as (1, "68")."""
    unit = units.temperature_unit
    edges = {step: FIRST_EDGE_C + STEP_C * (step - 1) for step in range(1, STEPS, 3)}
    return [(step, f"{temperature_in(edge, unit):.0f}") for step, edge in edges.items()]
