"""The typed answer to what heaps of this garden say side by side.

Knows what the answer holds. Knows nothing of how it comes about or how it is shown.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from heapwright.advice.types import Interval
from heapwright.season.between import Between, Middle
from heapwright.season.shift import Shift
from heapwright.sentences import Sentence
from heapwright.workshop.batch_story_answer import WentIn


class Choice(StrEnum):
    """What a gardener chose for a heap, or built it in, before it showed what came of it."""

    C_TO_N = "carbon to nitrogen"
    MOISTURE = "moisture"
    VOLUME = "volume"
    WARMTH = "warmth"
    TURNS = "early turns"
    WATER = "early water"


class Outcome(StrEnum):
    """What came of it."""

    DAYS_TO_HOT = "days to hot"
    DAYS_HOT = "days hot"
    DAYS_TO_FINISHED = "days to finished"
    YIELD_SHARE = "yield"


class Standing(StrEnum):
    """How much a pattern among few heaps is worth."""

    CLEAR = "clear"  # by chance rarely, even with all that was looked at
    HINT = "hint"  # worth watching with the next heap
    NOTHING = "nothing"  # chance does as much often enough
    TOO_FEW = "too few"  # so few heaps that no order of them could tell


class FinishedBy(StrEnum):
    """What the log holds to say that a heap was finished."""

    TEST = "test"
    SCREENED = "screened"
    USED = "used"


@dataclass(frozen=True, slots=True)
class DayHeat:
    """The hottest of one day of a heap's life.

    Attributes
    ----------
    day : int
        Day of the calendar since it was built, 0 on the day itself.
    hottest_c : float
        [°C]
    is_read : bool
        Whether the thermometer said so; otherwise the model between readings.

    """

    day: int
    hottest_c: float
    is_read: bool


@dataclass(frozen=True, slots=True)
class DoneOn:
    """Something done on a day of a heap's life."""

    day: int
    kind: str  # the EntryKind value
    with_water: bool


@dataclass(frozen=True, slots=True)
class WeatherStood:
    """The weather a heap stood in.

    Attributes
    ----------
    mean_air_c : float
        From its building to its end, or now. [°C]
    rain_mm : float
        In that time. [mm]
    early_air_c : float
        Mean of its first fortnight. [°C]
    seen_share : float
        Share of the hours that own weather covers; the rest is a usual year's. [0-1]

    """

    mean_air_c: float
    rain_mm: float
    early_air_c: float
    seen_share: float


@dataclass(frozen=True, slots=True)
class HotFor:
    """How long a heap was at 55 °C or more where the thermometer stood.

    Attributes
    ----------
    days_seen : int
        Days with such a reading of the core.
    days_read : int
        Days with any reading of the core.
    estimated_days : Interval or None
        By the model between readings that lie near enough together; None without. [d]
    covered_days : float
        How much of its life the estimate speaks of. [d]

    """

    days_seen: int
    days_read: int
    estimated_days: Interval | None
    covered_days: float


@dataclass(frozen=True, slots=True)
class HeapCompared:
    """One heap's line of the comparison; what is missing is None and told in `missing`.

    Attributes
    ----------
    key, name, stage : str
    bin_key : str or None
        Where it lies now.
    bins : tuple of str
        Names of the bins it lay in.
    built_at, until : datetime
        `until` is now, or when it was used up or became part of another heap.
    is_over : bool
    was_there : bool
        It was there before the log began, so its days are not known from the beginning.
    went_in : tuple of WentIn
    c_to_n, moisture, volume_m3 : Interval or None
        As built: ratio, share of the weight, loose volume. [1], [0-1], [m³]
    bin_volume_m3 : float
        Of the bin it was built in. [m³]
    turns, early_turns : int
        In all, and in the first fortnight.
    wettings : int
        How often water was given after building.
    water_kg, early_water_kg : float
        Given in all, with the building; and after it in the first fortnight. [kg]
    weather : WeatherStood or None
    hottest_c : float or None
        The hottest reading of the core. [°C]
    days_to_hot : Between or None
        To the first reading of 55 °C or more, after the last one below. [d]
    hot : HotFor
    cured_after_days : float or None
        When it was first left to cure. [d]
    days_to_finished : Between or None
        To the first word in the log that it was finished, after the last word against. [d]
    finished_by : FinishedBy or None
    yield_m3 : float or None
        Taken out, or sieved; None while it lies or when a part was not measured. [m³]
    yield_share : float or None
        Of the likely volume as built. [0-1]
    barrow_loads : float or None
        Loads of a level wheelbarrow forked in, turned and taken out.
    days : tuple of DayHeat
    done : tuple of DoneOn
    missing : tuple of Sentence

    """

    key: str
    name: str
    stage: str
    bin_key: str | None
    bins: tuple[str, ...]
    built_at: datetime
    until: datetime
    is_over: bool
    was_there: bool
    went_in: tuple[WentIn, ...]
    c_to_n: Interval | None
    moisture: Interval | None
    volume_m3: Interval | None
    bin_volume_m3: float
    turns: int
    early_turns: int
    wettings: int
    water_kg: float
    early_water_kg: float
    weather: WeatherStood | None
    hottest_c: float | None
    days_to_hot: Between | None
    hot: HotFor
    cured_after_days: float | None
    days_to_finished: Between | None
    finished_by: FinishedBy | None
    yield_m3: float | None
    yield_share: float | None
    barrow_loads: float | None
    days: tuple[DayHeat, ...]
    done: tuple[DoneOn, ...]
    missing: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True)
class Finding:
    """How one choice and one outcome went together in the heaps that have both.

    Attributes
    ----------
    choice : Choice
    outcome : Outcome
    heaps : int
    agree, against, undecided : int
        Pairs of heaps in which more of the one goes with more of the other, with less of it, or
        where that is not known.
    leaning : float
        -1 to 1 over the decided pairs.
    chance : float
        How often shuffled heaps lean as far to either side (two-sided p-value).
    corrected : float
        The same after Holm's correction for all that was looked at.
    least_chance : float
        The smallest that these heaps could have given.
    standing : Standing
    less, more : Middle or None
        The outcome of the half with less and the half with more of the choice.
    shift : Shift or None
        How much more the half with more has; None where an outcome is open.
    told : tuple of Sentence

    """

    choice: Choice
    outcome: Outcome
    heaps: int
    agree: int
    against: int
    undecided: int
    leaning: float
    chance: float
    corrected: float
    least_chance: float
    standing: Standing
    less: Middle | None
    more: Middle | None
    shift: Shift | None
    told: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True)
class HeapNamed:
    """A heap that may be chosen."""

    key: str
    name: str
    built_at: datetime
    is_compared: bool


@dataclass(frozen=True, slots=True)
class OutcomeMiddle:
    """What is usual of one outcome here."""

    outcome: Outcome
    middle: Middle
    told: Sentence


@dataclass(frozen=True, slots=True)
class Comparison:
    """Heaps of this garden side by side, and what they say together.

    Attributes
    ----------
    now : datetime
    garden_name : str
    is_demo : bool
        The garden is invented, and the page must say so.
    hot_c : float
        What counts as hot. [°C]
    heaps : tuple of HeapCompared
        In the order they were built.
    choosable : tuple of HeapNamed
        Every heap of the garden, latest first.
    usual : tuple of OutcomeMiddle
    findings : tuple of Finding
        The least likely by chance first.
    told, questions, cautions, notes : tuple of Sentence

    """

    now: datetime
    garden_name: str
    is_demo: bool
    hot_c: float
    heaps: tuple[HeapCompared, ...]
    choosable: tuple[HeapNamed, ...]
    usual: tuple[OutcomeMiddle, ...]
    findings: tuple[Finding, ...]
    told: tuple[Sentence, ...]
    questions: tuple[Sentence, ...]
    cautions: tuple[Sentence, ...]
    notes: tuple[Sentence, ...]
