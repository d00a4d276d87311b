"""The types of the validation room: a measured case, the runs that stand for it, what is compared.

Knows what is passed between reading, running, scoring and drawing. Holds no arithmetic.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from heapwright.heap.types import BinShape, Fill, HeapAction, HeapRun
from heapwright.weather.series import WeatherSeries


class Sense(StrEnum):
    """How a modelled number is held against a measured one."""

    ABOUT = "about"
    AT_LEAST = "at least"
    AT_MOST = "at most"


@dataclass(frozen=True, slots=True)
class Probe:
    """Where the thermometer's tip was.

    Attributes
    ----------
    depth_m : float or None
        Below the top; None is the middle of the heap's height. [m]
    radius_fraction : float
        Distance from the axis, as a share of the radius. [0-1]

    """

    depth_m: float | None = None
    radius_fraction: float = 0.0


@dataclass(frozen=True, slots=True)
class CaseRun:
    """One heap of a case as the model is given it.

    Attributes
    ----------
    name : str
    shape, fill, weather, actions
        As `heap.simulate` takes them.
    probe : Probe
    readings : tuple of (day, temperature)
        What the thermometer read. [days after building, °C]

    """

    name: str
    shape: BinShape
    fill: Fill
    weather: WeatherSeries
    actions: tuple[HeapAction, ...] = ()
    probe: Probe = Probe()
    readings: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Check:
    """One measured number, or one comparison of two runs, that the model is held against.

    Attributes
    ----------
    quantity : str
        A name in `measures.QUANTITIES`.
    run : str
        The run it is taken from.
    low, high : float
        What was measured; equal when one number was. In the quantity's own unit.
    tolerance : float
        Allowed beyond low and high, in the same unit.
    sense : Sense
    against : str or None
        Another run whose value is taken off first: the number is then a difference.
    places : dict str -> float
        Days and limits the quantity asks for.
    counts : bool
        Whether a case passes only if this does; others are shown beside it.
    must_not_heat : bool
        Whether it says that a heap must stay cool.
    said : str
        What the source says.
    missed : str
        Why the model misses it, where it does.

    """

    quantity: str
    run: str
    low: float
    high: float
    tolerance: float
    sense: Sense = Sense.ABOUT
    against: str | None = None
    places: Mapping[str, float] = field(default_factory=dict)
    counts: bool = True
    must_not_heat: bool = False
    said: str = ""
    missed: str = ""


@dataclass(frozen=True, slots=True)
class Case:
    """One measured or logged heap, or one comparison of heaps.

    Attributes
    ----------
    id, title : str
    source : str
        Who measured it, when and where, in words.
    grade : str
        A peer-reviewed, B public body, C one person's log.
    runs : dict str -> CaseRun
        Empty when the model cannot express the case.
    checks : tuple of Check
    assumed : tuple of str
        What the source does not say and how it was filled in.
    not_tested : str
        Why it is not tested; empty when it is.

    """

    id: str
    title: str
    source: str
    grade: str
    runs: Mapping[str, CaseRun]
    checks: tuple[Check, ...]
    assumed: tuple[str, ...] = ()
    not_tested: str = ""


@dataclass(frozen=True, slots=True)
class CheckResult:
    """One check with what the model gave.

    Attributes
    ----------
    modelled : float
        In the quantity's own unit; infinite when it never came to pass.
    miss : float
        How far beyond the measured range, in tolerances; 1 or less passes. Negative when a
        one-sided check is met with room to spare.

    """

    check: Check
    modelled: float
    miss: float

    @property
    def passed(self) -> bool:
        """Whether the model is within the tolerance."""
        return self.miss <= 1.0


@dataclass(frozen=True, slots=True)
class CaseResult:
    """A case with all its checks and the runs they were taken from."""

    case: Case
    checks: tuple[CheckResult, ...]
    runs: Mapping[str, HeapRun]

    @property
    def tested(self) -> bool:
        """Whether the model could express the case."""
        return not self.case.not_tested

    @property
    def passed(self) -> bool:
        """Whether every check that counts is within its tolerance."""
        counted = [result.passed for result in self.checks if result.check.counts]
        return self.tested and bool(counted) and all(counted)

    @property
    def heated_wrongly(self) -> bool:
        """Whether a heap that must stay cool got hot in the model."""
        return any(
            r.check.must_not_heat and r.modelled > r.check.high + r.check.tolerance
            for r in self.checks
        )
