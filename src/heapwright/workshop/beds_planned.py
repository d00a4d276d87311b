"""What the year's plan, where one was made, expects of compost: so that beds and plan agree.

Reads the plan that was made last; makes none.
"""

from __future__ import annotations

from datetime import date, timedelta

from heapwright.garden.beds_types import Volume
from heapwright.season.rotation_plan import PlannedBatch
from heapwright.sentences import Sentence, say, word
from heapwright.wording import dated, worded
from heapwright.workshop import year_kept
from heapwright.workshop.beds_answer import ExpectedCompost
from heapwright.workshop.garden import Garden
from heapwright.workshop.year_kept import KeptPlan


def expected_of_plan(
    garden: Garden, today: date
) -> tuple[tuple[ExpectedCompost, ...], tuple[Sentence, ...], date] | None:
    """Return the compost a plan expects, a note of where it comes from, and its last day.

    None when no plan was made, when it is old, or when other heaps stand than it knows.
    """
    kept = year_kept.read(garden.path)
    if kept is None or year_kept.is_old(kept, today):
        return None
    stand = {key for one in garden.state().bins_in_use.values() if (key := one.batch_key)}
    if {one.key for one in kept.plan.batches if one.is_standing} != stand:
        return None
    found = [_expected(batch, kept, today) for batch in kept.plan.batches]
    there = tuple(sorted((one for one in found if one), key=lambda one: (one.on, one.name)))
    day = word(dated(kept.first_day, "d MMMM y"))
    note = say("Counted is the compost of the year's plan of {day}.", day=day)
    return there, (note,), kept.first_day + timedelta(weeks=52)


def _expected(batch: PlannedBatch, kept: KeptPlan, today: date) -> ExpectedCompost | None:
    week = batch.harvest_week
    if week is None:
        return None
    on = max(today, kept.first_day + timedelta(weeks=week))
    name = batch.name
    if batch.build_week is not None:
        begun = kept.first_day + timedelta(weeks=batch.build_week)
        name = worded("the heap begun about {day}", day=dated(begun, "d MMMM"))
    made = batch.yield_m3
    return ExpectedCompost(on, on, Volume(made.sure, made.likely, made.high), name)
