"""Says what is otherwise in a year's plan than in the one before: moved, new, dropped.

Knows which differences are only the journal's going on. Knows nothing of how plans are made.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from heapwright.season.rotation_plan import JobKind
from heapwright.season.rotation_types import RotationProblem, Stage
from heapwright.sentences import Sentence, inside, say, word
from heapwright.workshop.year_answer import YearJob
from heapwright.workshop.year_kept import KeptJob
from heapwright.workshop.year_words import day_word

#: A job on another day of its week is no change worth telling.
_SAME_WEEK_DAYS = 6
_MOST_CHANGES = 6


def changes(
    known: Mapping[str, KeptJob],
    jobs: Sequence[YearJob],
    problem: RotationProblem,
    planned_as: Mapping[str, str],
    today: date,
) -> tuple[Sentence, ...]:
    """Return what is otherwise than in the plan before, the nearest first.

    Parameters
    ----------
    known : mapping job id -> KeptJob
        What the plan before told.
    jobs : sequence of YearJob
        What this one tells.
    problem : RotationProblem
    planned_as : mapping batch key -> key
        Under which a heap that stands now was planned once.
    today : date

    """
    left_out = {
        key: one
        for key, one in known.items()
        if one.day >= today and not _is_done(key, one, problem, planned_as)
    }
    found = [*_changes(known, jobs), *_dropped(left_out, jobs, problem)]
    found.sort(key=lambda one: one[0])
    told = [sentence for _, sentence in found[:_MOST_CHANGES]]
    left = len(found) - len(told)
    if left:
        told.append(say("{count} more jobs are moved, new or dropped.", count=word(str(left))))
    return tuple(told)


def _is_done(
    job_id: str, job: KeptJob, problem: RotationProblem, planned_as: Mapping[str, str]
) -> bool:
    """Whether a job of the plan before was done: its heap is so far by now, or gone."""
    key, into = job_id.rsplit("-", 1)
    for heap in problem.standing:
        if planned_as.get(heap.key, heap.key) == key:
            return into.upper() in {one.name for one in Stage if one <= heap.stage}
    return bool(job.heap)  # it stood, and stands no more


def _dropped(
    known: Mapping[str, KeptJob], jobs: Sequence[YearJob], problem: RotationProblem
) -> Iterator[tuple[date, Sentence]]:
    """Yield the jobs of the plan before that this one has not."""
    names = {one.key: one.name for one in problem.bins}
    there = {job.id for job in jobs}
    for key, before in known.items():
        if key in there:
            continue
        day, place = day_word(before.day), names.get(before.bin_key)
        if place is None:
            yield before.day, say("No longer on {day}: a bin is out of use.", day=day)
        elif before.kind == JobKind.BUILD:
            yield before.day, say("No heap is begun in {bin} on {day}.", bin=word(place), day=day)
        elif before.kind == JobKind.HARVEST:
            told = say("Nothing is taken out of {bin} on {day}.", bin=word(place), day=day)
            yield before.day, told
        else:
            yield before.day, say("Nothing is turned in {bin} on {day}.", bin=word(place), day=day)


def _changes(
    known: Mapping[str, KeptJob], jobs: Sequence[YearJob]
) -> Iterator[tuple[date, Sentence]]:
    if not known:
        return
    last = max(one.day for one in known.values())
    for job in jobs:
        before = known.get(job.id)
        if before is None:
            if job.day <= last:  # else the year has merely gone on
                yield job.day, say("New, {day}: {job}", day=day_word(job.day), job=inside(job.told))
        elif abs((job.day - before.day).days) > _SAME_WEEK_DAYS:
            yield (
                min(job.day, before.day),
                say(
                    "From {before} to {day}: {job}",
                    before=day_word(before.day),
                    day=day_word(job.day),
                    job=inside(job.told),
                ),
            )
