"""What a bed is to whoever reckons with compost, and what is found out about it.

Knows names, shapes and units. Reckons nothing.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from heapwright.sentences import Sentence
from heapwright.tables import Estimate, Evidence

POTTING_MIX = "potting mix"


@dataclass(frozen=True, slots=True)
class Bed:
    """A place that compost is wanted for.

    Attributes
    ----------
    key, name : str
    use : str
        "new bed", "top-up", "mulch", "lawn", "new lawn" or "potting mix".
    due : date
        When it should lie there, for the first time if it comes every year.
    area_m2 : float or None
        None for potting mix. [m²]
    mix_m3 : float or None
        Potting mix wanted, of which compost is a part; None for all else. [m³]
    every_year : bool
    depth_m : float or None
        The person's own depth; None takes the advised one. [m]
    weight : int
        1 can wait, 2 usual, 3 first of all.
    phosphorus : str
        "unknown", "low" or "high", by a soil test.
    salt_sensitive, raw_harvest : bool
        Whether salt-sensitive plants grow there; whether what grows there is eaten raw.

    """

    key: str
    name: str
    use: str
    due: date
    area_m2: float | None = None
    mix_m3: float | None = None
    every_year: bool = True
    depth_m: float | None = None
    weight: int = 2
    phosphorus: str = "unknown"
    salt_sensitive: bool = False
    raw_harvest: bool = False


@dataclass(frozen=True, slots=True)
class Volume:
    """Compost as a range: a thin layer, the likely one, the deepest; or little to much. [m³]"""

    low: float
    likely: float
    high: float

    def plus(self, other: Volume) -> Volume:
        """Return both together, end by end."""
        return Volume(self.low + other.low, self.likely + other.likely, self.high + other.high)

    def less(self, taken_m3: float) -> Volume:
        """Return what is left of it when so much is taken away; never less than nothing."""
        return Volume(*(max(0.0, one - taken_m3) for one in (self.low, self.likely, self.high)))

    def missing_to(self, wanted_m3: float) -> Volume:
        """Return what is missing of an amount, case by case; never less than nothing."""
        return Volume(*(max(0.0, wanted_m3 - one) for one in (self.low, self.likely, self.high)))

    def in_order(self) -> Volume:
        """Return the least, the likely and the most of three cases."""
        three = (self.low, self.likely, self.high)
        return Volume(min(three), self.likely, max(three))


NOTHING = Volume(0.0, 0.0, 0.0)


def total(volumes: Iterable[Volume]) -> Volume:
    """Return all together, case by case."""
    found = NOTHING
    for one in volumes:
        found = found.plus(one)
    return found


@dataclass(frozen=True, slots=True)
class Layer:
    """How much compost one round of a bed asks for.

    Attributes
    ----------
    depth_m : Estimate or None
        None for potting mix. [m]
    share : Estimate or None
        Of a potting mix, by volume; None for a bed.
    volume_m3 : Volume
    is_own : bool
        Whether the depth is the person's own.

    """

    depth_m: Estimate | None
    share: Estimate | None
    volume_m3: Volume
    is_own: bool = False


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution of a task, with what it rests on."""

    id: str
    told: Sentence
    source: str
    evidence: Evidence


@dataclass(frozen=True, slots=True)
class Spread:
    """What was put on a bed; `volume_m3` is None when nobody said how much."""

    on: date
    volume_m3: float | None
    what: str
