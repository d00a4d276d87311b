"""The types of a scenario that has been read: what the heap model runs on, and what was assumed.

Knows what is passed between reading, running and telling. Holds no arithmetic.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from functools import cache
from pathlib import Path

from heapwright.heap.types import BinShape, Fill, HeapAction
from heapwright.quantities import UnitSystem
from heapwright.quantities.containers import Container
from heapwright.sentences import Sentence
from heapwright.tables import parameter_table
from heapwright.weather.series import WeatherSeries


@dataclass(frozen=True, slots=True)
class Asker:
    """Who asks: what their words mean, and where their files lie.

    Attributes
    ----------
    own_containers : tuple of Container
    system : UnitSystem or None
        Decides what a "bucket" is; it is asked back without one.
    folder : Path
        Where a file named in the scenario is looked for.

    """

    own_containers: tuple[Container, ...] = ()
    system: UnitSystem | None = None
    folder: Path = Path()


@dataclass(slots=True)
class Said:
    """What has to be told with an answer, gathered while a scenario is read."""

    assumed: list[Sentence] = field(default_factory=list)
    notes: list[Sentence] = field(default_factory=list)
    cautions: list[Sentence] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class ProbePlace:
    """Where a thermometer's tip sits: below the top [m], and from the axis as share of radius."""

    name: str
    depth_m: float
    radius_fraction: float


@dataclass(frozen=True, slots=True)
class Scenario:
    """A heap as the model is given it.

    Attributes
    ----------
    shape, fill, weather, actions
        As `heap.simulate` takes them.
    probes : tuple of ProbePlace
    fine : bool
        Whether the heap is cut finely, as for an answer read off one run.
    start : datetime or None
        When it was built; None where the weather has no date.
    said : Said

    """

    shape: BinShape
    fill: Fill
    weather: WeatherSeries
    actions: tuple[HeapAction, ...]
    probes: tuple[ProbePlace, ...]
    fine: bool
    start: datetime | None
    said: Said


@cache
def usual() -> Mapping[str, float]:
    """Return what is taken where a scenario says nothing (the table `scenario.csv`)."""
    table = parameter_table("heapwright.workshop", "data/scenario.csv")
    return {name: estimate.typical for name, estimate in table.items()}
