"""What earlier heaps of a garden have taught, found in the journal and kept beside it.

Knows which heap teaches which, and where what was worked out is kept so that an old heap need not
be run again. What is kept is no truth: throw the file away and it is worked out anew.
"""

from __future__ import annotations

import json
import os
import zlib
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from heapwright.errors import BalanceBroken, OutOfRange, WeatherProblem
from heapwright.journal.entries import BatchState
from heapwright.workshop.garden import Garden
from heapwright.workshop.history import is_core_reading
from heapwright.workshop.own_weather import kept_names
from heapwright.workshop.probe_series import for_model

if TYPE_CHECKING:
    from heapwright.fitting.followed import Followed
    from heapwright.fitting.lesson import Lesson


@dataclass(frozen=True, slots=True)
class Taught:
    """What earlier heaps taught, and which.

    Attributes
    ----------
    lesson : Lesson
    batches : tuple of str
        Names of the heaps it comes from, the latest first.
    readings : int
        How many readings they were read by, all together.

    """

    lesson: Lesson
    batches: tuple[str, ...]
    readings: int


def taught_before(
    garden: Garden, batch: BatchState, generations: int | None = None
) -> Taught | None:
    """Return what earlier heaps teach about a batch that is about to be built, or None.

    Only what was known when it was built counts, so that a lesson never changes afterwards. The
    heap built last before it that was read often enough teaches; what an older one taught has come
    down through that one.

    Parameters
    ----------
    garden : Garden
    batch : BatchState
    generations : int, optional
        How many heaps back to ask; the table's if not given.

    """
    from heapwright.fitting.lesson import carried_shares

    shares = carried_shares()
    left = round(shares["most_generations"]) if generations is None else generations
    teacher = _teacher(garden, batch, shares["least_readings"]) if left > 0 else None
    if teacher is None:
        return None
    key = ("taught", batch.key, *teaching(garden, batch, left))
    return garden.remembered(key, lambda: _taught(garden, teacher, batch.built_at, left, key))


def teaching(garden: Garden, batch: BatchState, generations: int | None = None) -> tuple[int, ...]:
    """Return a mark of everything that a batch's lesson depends on, one for each heap back."""
    from heapwright.fitting.lesson import carried_shares

    shares = carried_shares()
    marks, pupil = [], batch
    for _ in range(round(shares["most_generations"]) if generations is None else generations):
        teacher = _teacher(garden, pupil, shares["least_readings"])
        if teacher is None:
            break
        marks.append(_mark(garden, teacher, pupil.built_at))
        pupil = teacher
    return tuple(marks)


def _teacher(garden: Garden, batch: BatchState, least: float) -> BatchState | None:
    """Return the heap built last before this one that had been read often enough by then."""
    earlier = [
        other
        for other in garden.state().batches.values()
        if other.built_at < batch.built_at and _readings(other, batch.built_at) >= least
    ]
    return max(earlier, key=lambda one: one.built_at, default=None)


def _readings(batch: BatchState, before: datetime) -> int:
    return sum(is_core_reading(entry) and entry.at < before for entry in for_model(batch))


def _taught(
    garden: Garden, teacher: BatchState, at: datetime, left: int, key: tuple[object, ...]
) -> Taught | None:
    from heapwright.fitting.lesson import lesson_of

    before = taught_before(garden, teacher, left - 1)
    kept = _kept(garden.path).get(_name(key))
    lesson = None if kept is None else _lesson(kept)
    if lesson is None:
        try:
            lesson = lesson_of(_followed(garden, teacher, at, before))
        except (OutOfRange, BalanceBroken, WeatherProblem):
            # That heap cannot be modelled: it teaches nothing.
            return before
        _keep(garden.path, _name(key), lesson)
    return Taught(
        lesson=lesson,
        batches=(teacher.name, *(before.batches if before else ())),
        readings=_readings(teacher, at) + (before.readings if before else 0),
    )


def _followed(garden: Garden, teacher: BatchState, at: datetime, before: Taught | None) -> Followed:
    from heapwright.workshop.model import ensemble_start, followed_at

    start = ensemble_start(garden, teacher, at, 0.0, before)
    return followed_at(garden, teacher, start, at)


def _mark(garden: Garden, teacher: BatchState, at: datetime) -> int:
    """Return a mark of a heap up to a moment, of the garden's settings and its own weather."""
    told = [(e.id, str(e.kind), e.at, dict(e.body)) for e in teacher.entries if e.at < at]
    state = garden.state()
    return zlib.crc32(
        repr((told, state.settings, tuple(state.bins.values()), kept_names(garden))).encode()
    )


def _name(key: tuple[object, ...]) -> str:
    return " ".join(str(part) for part in key[1:])


def _file(path: Path) -> Path:
    return path.with_suffix(".taught.json")


def _kept(path: Path) -> dict[str, dict[str, list[float]]]:
    try:
        kept = json.loads(_file(path).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return kept if isinstance(kept, dict) else {}


def _lesson(kept: dict[str, list[float]]) -> Lesson | None:
    from heapwright.fitting.lesson import Lesson
    from heapwright.heap.parameters import PARAMETER_IDS

    try:
        lesson = Lesson(*(np.array(kept[name], dtype=np.float64) for name in _FIELDS))
    except (KeyError, TypeError, ValueError):
        return None
    sizes = (lesson.mean.size, lesson.spread.size, lesson.fill_log.size)
    finite = all(
        np.isfinite(values).all() for values in (lesson.mean, lesson.spread, lesson.fill_log)
    )
    return lesson if finite and sizes == (len(PARAMETER_IDS), len(PARAMETER_IDS), 3) else None


_FIELDS = ("mean", "spread", "fill_log")
#: So many lessons are kept in the file; the oldest are dropped.
_MOST_KEPT = 200


def _keep(path: Path, name: str, lesson: Lesson) -> None:
    """Keep a lesson beside the journal; where that cannot be written it is simply not kept."""
    kept = _kept(path)
    kept[name] = {field: getattr(lesson, field).tolist() for field in _FIELDS}
    kept = dict(list(kept.items())[-_MOST_KEPT:])
    new = _file(path).with_suffix(".new")
    try:
        new.write_text(json.dumps(kept), encoding="utf-8")
        os.replace(new, _file(path))
    except OSError:
        return
