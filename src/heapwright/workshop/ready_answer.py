"""The typed answer to whether a heap is finished: tests, uses, date and amounts to expect.

Knows what the answer holds. Knows nothing of how it comes about or how it is shown.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from heapwright.advice.types import Interval
from heapwright.finish.types import AspectState, Guide, Judged, UseState
from heapwright.sentences import Sentence
from heapwright.workshop.ready_tests import TestDone


@dataclass(frozen=True, slots=True)
class ReadyDate:
    """When it will have cured; None is beyond a year.

    Attributes
    ----------
    low_days, likely_days, high_days : float or None
        From now; one in ten before low, one in ten after high. [d]
    low, likely, high : datetime or None
    hot_work_days : Interval or None
        Until the hot work ends; None when it has ended. [d]
    told : Sentence
    kept_well : Sentence or None
        What keeping it damp and turned from today on would make of it, where that gains much.
    basis : tuple of Sentence
        What it rests on.

    """

    low_days: float | None
    likely_days: float | None
    high_days: float | None
    low: datetime | None
    likely: datetime | None
    high: datetime | None
    hot_work_days: Interval | None
    told: Sentence
    kept_well: Sentence | None
    basis: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True)
class Expected:
    """What it gives when it is finished, with low, likely and high.

    Attributes
    ----------
    dry_mass_kg, wet_mass_kg, nitrogen_kg, nitrogen_dry : Interval
    volume_m3, volume_by_shrinking_m3 : Interval
        By the mass and published density, and by published shrinking of the volume as built.
    told, basis : tuple of Sentence

    """

    dry_mass_kg: Interval
    wet_mass_kg: Interval
    nitrogen_kg: Interval
    nitrogen_dry: Interval
    volume_m3: Interval
    volume_by_shrinking_m3: Interval
    told: tuple[Sentence, ...]
    basis: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True)
class Ready:
    """Whether the heap in a bin is finished, and for what.

    Attributes
    ----------
    stage : str
        "hot", "cooling", "curing", "may be tested" or "ready".
    headline : Sentence
    stage_told : tuple of Sentence
        What the stage rests on.
    uses : tuple of UseState
        The least demanding first.
    aspects : tuple of AspectState
    done : tuple of TestDone
        Results written down, newest first.
    reheating : Judged
        Read from turns and readings.
    remarks : tuple of Sentence
        What it means when tests disagree.
    following : Guide or None
        The test that would tell most now.
    guides : tuple of Guide
        Every test, in the order they are worth doing.
    date : ReadyDate or None
    expected : Expected or None
    notes : tuple of Sentence
        Why something is not told.
    cautions : tuple of Sentence

    """

    bin_key: str
    batch_name: str
    stage: str
    headline: Sentence
    stage_told: tuple[Sentence, ...]
    uses: tuple[UseState, ...]
    aspects: tuple[AspectState, ...]
    done: tuple[TestDone, ...]
    reheating: Judged
    remarks: tuple[Sentence, ...]
    following: Guide | None
    guides: tuple[Guide, ...]
    date: ReadyDate | None
    expected: Expected | None
    notes: tuple[Sentence, ...]
    cautions: tuple[Sentence, ...]
