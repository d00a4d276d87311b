"""The types of the finish: which tests there are, what they tell, what compost may be used for.

Knows names and what an answer holds. Judges nothing and reads no table.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from heapwright.sentences import Sentence
from heapwright.tables import Evidence


class Procedure(StrEnum):
    """A test of finished compost that can be done at home."""

    BAG = "bag"
    LOOK = "look"
    RADISH_POT = "radish-pot"
    JAR = "jar"
    GERMINATION = "germination"
    SELF_HEATING = "self-heating"
    BIOASSAY = "bioassay"
    REHEATING = "reheating"  # read from turns and readings, never typed


#: Those whose result a person writes down.
RECORDED = tuple(one for one in Procedure if one is not Procedure.REHEATING)


class Aspect(StrEnum):
    """What a test speaks of."""

    STABILITY = "stability"  # whether it still works
    MATURITY = "maturity"  # whether plants stand it
    LOOK = "look"
    SAFETY = "safety"  # weedkillers


class Verdict(StrEnum):
    """What a test says."""

    PASSED = "passed"
    NOT_YET = "not yet"
    FAILED = "failed"  # shows harm as it is now
    CANNOT_SAY = "cannot say"

    @property
    def says_no(self) -> bool:
        """Whether it speaks against the compost."""
        return self in (Verdict.NOT_YET, Verdict.FAILED)


@dataclass(frozen=True, slots=True)
class Judged:
    """One test's verdict with its reason, and what must be known beside it."""

    procedure: Procedure
    verdict: Verdict
    reason: Sentence
    notes: tuple[Sentence, ...] = ()


@dataclass(frozen=True, slots=True)
class Result:
    """A judged test and how long ago its result was seen. [days]"""

    judged: Judged
    days_ago: float


@dataclass(frozen=True, slots=True)
class Guide:
    """How a test is done, step by step.

    Attributes
    ----------
    procedure : Procedure
    name : str
    aspect : Aspect
    work_minutes : float
        What the hands do.
    wait_days : (float, float)
        Until there is a result, from and to.
    tells, passes : str
        What it is for, and what lets it pass.
    needs, steps, cautions : tuple of str
    source, place, note : str
    evidence : Evidence

    """

    procedure: Procedure
    name: str
    aspect: Aspect
    work_minutes: float
    wait_days: tuple[float, float]
    tells: str
    passes: str
    needs: tuple[str, ...]
    steps: tuple[str, ...]
    cautions: tuple[str, ...]
    source: str
    place: str
    evidence: Evidence
    note: str


@dataclass(frozen=True, slots=True)
class Use:
    """Something compost may be used for, and what must have been seen before."""

    id: str
    name: str
    stability: int
    maturity: int
    asks_curing: bool
    is_near_broadleaf: bool
    how: str
    source: str
    place: str
    evidence: Evidence


class Standing(StrEnum):
    """What the tests of one aspect say together."""

    UNTESTED = "untested"
    PASSED = "passed"
    NOT_YET = "not yet"
    CONTRADICTORY = "contradictory"


@dataclass(frozen=True, slots=True)
class AspectState:
    """What the tests of one aspect say together.

    Attributes
    ----------
    aspect : Aspect
    standing : Standing
    passes : int
        Different tests that passed and still count.
    told : tuple of Sentence
        Why, newest first.

    """

    aspect: Aspect
    standing: Standing
    passes: int
    told: tuple[Sentence, ...]


class Readiness(StrEnum):
    """Whether compost may be used for something."""

    READY = "ready"
    NOT_YET = "not yet"
    UNTOLD = "untold"  # something is not known that must be


@dataclass(frozen=True, slots=True)
class UseState:
    """Whether compost may be used for one thing, and what stands against it."""

    use: Use
    readiness: Readiness
    against: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True)
class Risks:
    """What went in that asks for more; None where it is not known what went in."""

    weedkiller: bool | None
    manure: bool | None
