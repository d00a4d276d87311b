"""Which readings look wrong, and why: the wrong unit, a probe beside the core, or no known cause.

Knows surprises and what the same probe would read elsewhere. Knows no journal and no words.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from heapwright.fitting.followed import Judged

#: Within so many standard deviations another explanation is taken to fit.
_FITS = 1.5


class Why(StrEnum):
    """What would explain a reading that cannot be right."""

    FAHRENHEIT_AS_CELSIUS = "Fahrenheit as Celsius"
    CELSIUS_AS_FAHRENHEIT = "Celsius as Fahrenheit"
    NOT_IN_CORE = "not in the core"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Doubt:
    """A reading that looks wrong.

    Attributes
    ----------
    judged : Judged
    why : Why
    would_be_c : float or None
        What it would mean in the other unit. [°C]

    """

    judged: Judged
    why: Why
    would_be_c: float | None


def doubts(judged: Sequence[Judged]) -> tuple[Doubt, ...]:
    """Return the readings that were left out because they look wrong, in order of time."""
    return tuple(_doubt(one) for one in judged if one.is_doubtful)


def _doubt(judged: Judged) -> Doubt:
    value = judged.seen.value
    typed_as_f = (value - 32.0) / 1.8  # 140 written as °C was 140 °F
    typed_as_c = value * 1.8 + 32.0  # 14.4 °C was written as 58 °F and was 58 °C
    if _fits(judged, typed_as_f):
        return Doubt(judged, Why.FAHRENHEIT_AS_CELSIUS, typed_as_f)
    if _fits(judged, typed_as_c):
        return Doubt(judged, Why.CELSIUS_AS_FAHRENHEIT, typed_as_c)
    at_edge = judged.at_edge
    if at_edge is not None and abs(value - at_edge) < abs(value - judged.predicted) / 2.0:
        return Doubt(judged, Why.NOT_IN_CORE, None)
    return Doubt(judged, Why.UNKNOWN, None)


def _fits(judged: Judged, value_c: float) -> bool:
    spread = math.hypot(judged.spread, judged.seen.error_sd)
    return abs(value_c - judged.predicted) <= _FITS * spread
