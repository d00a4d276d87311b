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
from heapwright.workshop.year_kept import KeptJob

_DAYS_AHEAD = 7


@dataclass(frozen=True, slots=True)
class PlannedJob:
    """A job of the year's plan that is near."""

    day: date
    told: Sentence


def planned_near(garden: Garden) -> tuple[PlannedJob, ...]:
    """Return the jobs that the year's plan has for the next days; none where it was never asked.

    Jobs at a bin that has gone out of use since are left out.
    """
    kept = year_kept.read(garden.path)
    if kept is None:
        return ()
    today, state = today_in(garden), garden.state()
    last = today + timedelta(days=_DAYS_AHEAD)
    near = [
        PlannedJob(one.day, told)
        for one in kept.jobs.values()
        if today <= one.day < last and (told := _told(one, state)) is not None
    ]
    return tuple(sorted(near, key=lambda one: one.day))


def _told(job: KeptJob, state: GardenState) -> Sentence | None:
    here, there = state.bins_in_use.get(job.bin_key), state.bins_in_use.get(job.to_bin_key)
    if here is None or (job.to_bin_key and there is None):
        return None
    place = word(here.name)
    if job.kind == JobKind.BUILD:
        return say("Begin a heap in {bin}.", bin=place)
    if here.batch_key is None:
        return None
    heap = word(job.heap or state.batches[here.batch_key].name)
    if job.kind == JobKind.HARVEST:
        return say("Take {heap} out of {bin}.", heap=heap, bin=place)
    if there is not None:
        return say("Move {heap} from {bin} into {to}.", heap=heap, bin=place, to=word(there.name))
    return say("Turn {heap} where it stands in {bin}.", heap=heap, bin=place)
