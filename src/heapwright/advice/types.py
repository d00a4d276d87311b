"""The types of advice: what is known of one heap, and the job that follows.

Knows what the rules read and what they answer. Holds no rule.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from heapwright.sentences import Sentence


class Job(StrEnum):
    """A thing to do today at one bin."""

    STAND_BACK = "stand back"  # may be burning
    STIR = "stir"
    MOVE = "move"  # to the next bin
    WET = "wet"
    MIX_IN_BROWN = "mix in brown"
    MIX_IN_GREEN = "mix in green"
    CAP = "cap"
    INSULATE = "insulate"
    READ = "read"  # take its temperature first
    LEAVE = "leave"
    CURE = "cure"
    TEST = "test"  # see whether it is ready
    USE = "use"
    BUILD = "build"  # the bin is empty


class Sureness(StrEnum):
    """How much the advice rests on what was seen rather than on the model."""

    SEEN = "seen"  # a fresh reading or look says so
    LIKELY = "likely"  # the model and older readings agree
    GUESS = "guess"  # little to go by


@dataclass(frozen=True, slots=True)
class TemperatureReading:
    """A temperature from the journal, hours before now."""

    hours_ago: float
    temperature_c: float


@dataclass(frozen=True, slots=True)
class Interval:
    """A modelled value: one in ten below low, one in ten above high."""

    low: float
    likely: float
    high: float


@dataclass(frozen=True, slots=True)
class HeapView:
    """What is known of one heap at the moment advice is asked for.

    Attributes
    ----------
    age_days : float
    curing_days : float or None
        Days since it was left to cure; None while active.
    readings : tuple of TemperatureReading
        Oldest first, core readings only.
    hours_since_turn, hours_since_wetting : float or None
        None when it was never turned or wetted; building counts as neither.
    turns : int
    moisture : Interval or None
        Mean moisture by the model. [0-1]
    degradable_left : Interval or None
        Fast and medium pools left. [0-1]
    core_tomorrow_c : Interval or None
        The probe's place 24 hours from now by the model. [°C]
    squeeze, smell : str
        The latest look not older than the table's limit; "" when none.
    pests, looks : tuple of str
    is_capped : bool
        Whether brown, a tarp or a lid is on top.
    free_bin : str
        Name of the next bin if it is empty, "" if there is none.
    water_to_target_kg : Interval or None
        Water that brings it to the wished moisture. [kg]
    volume_m3 : float
        As it stands now. [m³]
    finish : str
        What tests of stability and maturity say together: "" (none), "ready", "not yet",
        "contradictory", "harmful" (weedkiller) or "untold" (too little to say).
    finish_told : tuple of Sentence
        Why, in words.
    next_test : Sentence or None
        Which test to do next.
    days_since_test : float or None
        Since the newest result.

    """

    age_days: float
    curing_days: float | None
    readings: tuple[TemperatureReading, ...]
    hours_since_turn: float | None
    hours_since_wetting: float | None
    turns: int
    moisture: Interval | None
    degradable_left: Interval | None
    core_tomorrow_c: Interval | None
    squeeze: str
    smell: str
    pests: tuple[str, ...]
    looks: tuple[str, ...]
    is_capped: bool
    free_bin: str
    water_to_target_kg: Interval | None
    volume_m3: float
    finish: str = ""
    finish_told: tuple[Sentence, ...] = ()
    next_test: Sentence | None = None
    days_since_test: float | None = None


@dataclass(frozen=True, slots=True)
class Advice:
    """One job for one bin, with everything a person needs to do it.

    Attributes
    ----------
    job : Job
    headline : Sentence
        What to do, in one line.
    reasons : tuple of Sentence
        Why, from what was seen.
    amounts : tuple of Sentence
        How much of what, and where.
    expected : tuple of Sentence
        What should be seen next, and when to look.
    cautions : tuple of Sentence
        For this job only.
    sureness : Sureness
    afterwards : tuple of Sentence
        What must follow in the same visit, such as the brown cap.
    lines : tuple of (str, int)
        Lots to mix in by key, and containers of each; empty when none is named.
    confidence : tuple of Sentence
        How clear it is beside what else could be done; empty when nothing was compared.

    """

    job: Job
    headline: Sentence
    reasons: tuple[Sentence, ...]
    amounts: tuple[Sentence, ...]
    expected: tuple[Sentence, ...]
    cautions: tuple[Sentence, ...]
    sureness: Sureness
    afterwards: tuple[Sentence, ...] = ()
    confidence: tuple[Sentence, ...] = ()
    lines: tuple[tuple[str, int], ...] = ()
