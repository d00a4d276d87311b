"""Tells what the year's plan has for the days that come, beside what the heaps themselves want.

Reads the plan that was made last; makes none, so that Today is there at once.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from heapwright.journal.entries import GardenState
from heapwright.season.rotation_plan import JobKind
from heapwright.sentences import Sentence, say, word
from heapwright.workshop import year_kept
from heapwright.workshop.beds import today_in
from heapwright.workshop.garden import Garden
from heapwright.workshop.year_jobs import CAUTIONS
from heapwright.workshop.year_kept import KeptJob, KeptPlan

_DAYS_AHEAD = 7


@dataclass(frozen=True, slots=True)
class PlannedJob:
    """A job of the year's plan that is near.

    Attributes
    ----------
    day : date
    told : Sentence
    cautions : tuple of Sentence
        Those that no job before it has.

    """

    day: date
    told: Sentence
    cautions: tuple[Sentence, ...] = ()


def planned_near(garden: Garden) -> tuple[PlannedJob, ...]:
    """Return the jobs that the year's plan has for the next days.

    None where it was never asked, or not for weeks. Jobs at a bin that has gone out of use since
    are left out, and those that the journal shows to be done: the heap is built, moved on or gone.
    """
    today, state = today_in(garden), garden.state()
    kept = year_kept.read(garden.path)
    if kept is None or year_kept.is_old(kept, today):
        return ()
    last = today + timedelta(days=_DAYS_AHEAD)
    near = [
        (one.day, JobKind(one.kind), told)
        for key, one in kept.jobs.items()
        if today <= one.day < last and (told := _told(key, one, kept, state)) is not None
    ]
    found: list[PlannedJob] = []
    known: set[str] = set()
    for day, kind, told in sorted(near, key=lambda one: one[0]):
        fresh = tuple(one for one in CAUTIONS[kind] if one.template not in known)
        known |= {one.template for one in fresh}
        found.append(PlannedJob(day, told, fresh))
    return tuple(found)


def _told(key: str, job: KeptJob, kept: KeptPlan, state: GardenState) -> Sentence | None:
    """Return a job in a sentence; None when it is done or can no longer be."""
    here, there = state.bins_in_use.get(job.bin_key), state.bins_in_use.get(job.to_bin_key)
    if here is None or (job.to_bin_key and there is None):
        return None
    place, lies = word(here.name), here.batch_key
    stood = lies is not None and lies in {one.key for one in kept.plan.batches if one.is_standing}
    if job.kind == JobKind.BUILD:
        # A heap that the plan does not know as standing was built since.
        is_built = lies is not None and not stood
        return None if is_built else say("Begin a heap in {bin}.", bin=place)
    if lies is None:
        return None
    is_it = kept.planned_as.get(lies, lies) == key.rsplit("-", 1)[0] if job.heap else not stood
    if not is_it:
        return None
    heap = word(state.batches[lies].name)
    if job.kind == JobKind.HARVEST:
        return say("Take {heap} out of {bin}.", heap=heap, bin=place)
    if there is not None:
        return say("Move {heap} from {bin} into {to}.", heap=heap, bin=place, to=word(there.name))
    return say("Turn {heap} where it stands in {bin}.", heap=heap, bin=place)
