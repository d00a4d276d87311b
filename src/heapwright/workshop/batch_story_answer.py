"""The typed answer of a batch's story: what one page to hand on tells of a heap.

Knows what the answer holds. Knows nothing of how it comes about or how it is shown.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from heapwright.advice.types import Interval
from heapwright.sentences import Sentence
from heapwright.workshop.answers import EventShown, Forecast, HeapCourse, ReadingShown
from heapwright.workshop.heat_answer import HeatProof
from heapwright.workshop.ready_answer import ReadyDate


@dataclass(frozen=True, slots=True)
class WentIn:
    """Some of one material that went into a heap.

    Attributes
    ----------
    at : datetime
    material, container : str
    count : float
        Containers.
    with_build : bool
        False for what was added later.

    """

    at: datetime
    material: str
    container: str
    count: float
    with_build: bool


@dataclass(frozen=True, slots=True)
class MixtureShown:
    """What a heap was when it was built, each with its low, likely and high.

    C:N as a ratio, moisture and air as shares [0-1], volume [m³], mass [kg].
    """

    c_to_n: Interval
    moisture: Interval
    air: Interval | None
    volume_m3: Interval
    mass_kg: Interval


@dataclass(frozen=True, slots=True)
class HotDays:
    """How long it was at a temperature or more, where the thermometer stood.

    Attributes
    ----------
    limit_c : float
    seen : int
        Days with such a reading of the core.
    read : int
        Days with any reading of the core.
    whole : int
        Days of the heap's life so far.
    modelled : Interval or None
        By the model, at the thermometer's tip. [d]

    """

    limit_c: float
    seen: int
    read: int
    whole: int
    modelled: Interval | None


@dataclass(frozen=True, slots=True)
class Did:
    """Something done, and what the log says of why.

    Attributes
    ----------
    at : datetime
    words : Sentence
    before : tuple of Sentence
        What was read and felt last before it, and the note that was written with it.

    """

    at: datetime
    words: Sentence
    before: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True)
class BatchStory:
    """One heap told from its building to now, or to its end.

    Attributes
    ----------
    key, name, garden_name, stage : str
    is_demo : bool
        The garden is invented, and the page must say so.
    built_at, until : datetime
        `until` is now, or when it was used up.
    is_over : bool
    bins : tuple of (str, datetime)
        Names of the bins it lay in, and since when.
    went_in : tuple of WentIn
    water_kg : float
        Given when it was built.
    mixture : MixtureShown or None
        None for a heap that was there before and was described by eye.
    course : Forecast or None
        Temperature at the thermometer's tip; None when it is not modelled.
    cuts : HeapCourse or None
        Few moments of the heap cut open.
    readings : tuple of ReadingShown
    events : tuple of EventShown
    did : tuple of Did
    hot : HotDays
    proof : HeatProof
    given : tuple of Sentence
        What it gave and where that went, or is expected to give.
    ready : ReadyDate or None
    learnt, questions, cautions, notes : tuple of Sentence

    """

    key: str
    name: str
    garden_name: str
    stage: str
    is_demo: bool
    built_at: datetime
    until: datetime
    is_over: bool
    bins: tuple[tuple[str, datetime], ...]
    went_in: tuple[WentIn, ...]
    water_kg: float
    mixture: MixtureShown | None
    course: Forecast | None
    cuts: HeapCourse | None
    readings: tuple[ReadingShown, ...]
    events: tuple[EventShown, ...]
    did: tuple[Did, ...]
    hot: HotDays
    proof: HeatProof
    given: tuple[Sentence, ...]
    ready: ReadyDate | None
    learnt: tuple[Sentence, ...]
    questions: tuple[Sentence, ...]
    cautions: tuple[Sentence, ...]
    notes: tuple[Sentence, ...]
