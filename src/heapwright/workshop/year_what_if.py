"""Answers what one more bin, shredding or a helper would do to the year.

Knows how two plans are told apart in words. Knows no solver but by its own room.
"""

from __future__ import annotations

from functools import partial

from heapwright.season.rotation_plan import RotationPlan
from heapwright.season.rotation_solve import plan_rotation
from heapwright.sentences import Measure, Sentence, Value, inside, say
from heapwright.workshop.garden import Garden
from heapwright.workshop.year_answer import WhatIf
from heapwright.workshop.year_problem import Change, year_inputs
from heapwright.workshop.year_share import shared_by_rule

_TITLES = {
    Change.BIN: say("One more bin"),
    Change.SHREDDING: say("Everything dry is shredded"),
    Change.HELPER: say("A helper"),
}
_NOTES = {
    Change.SHREDDING: say(
        "Counted is only that more goes into each bin, so that the same material fills fewer of "
        "them. That small pieces rot sooner is not counted: sources say how small, not how much "
        "sooner."
    ),
}
#: For each of the plans that are made for comparison.
_SECONDS = 4.0
#: Less is no difference that a garden would notice. [m³]
_NOTHING_M3 = 0.005


def year_what_if(garden: Garden) -> tuple[WhatIf, ...]:
    """Return what each change would do: the year planned with it against the year without.

    Both are planned anew, without the plan before: else one would pay for jobs that it moves and
    the other would not, and that would pass for the change's own doing.

    Raises
    ------
    NotFound
        If there is no bin yet.

    """
    before = _planned(garden, None)
    found = []
    for change in Change:
        if change is Change.SHREDDING and garden.state().year.wishes.shredding:
            continue
        after = _planned(garden, change)
        made = after.made_m3 - before.made_m3
        served = _served(after) - _served(before)
        found.append(
            WhatIf(
                key=change.value,
                title=_TITLES[change],
                told=_told(made, served, before),
                made_m3=made,
                served_m3=served,
                note=_NOTES.get(change),
            )
        )
    return tuple(found)


def _planned(garden: Garden, change: Change | None) -> RotationPlan:
    inputs = year_inputs(garden, change)
    key = ("year what if", repr(inputs.problem))
    plan = garden.remembered(key, partial(plan_rotation, inputs.problem, seconds=_SECONDS))
    return shared_by_rule(inputs, plan)


def _served(plan: RotationPlan) -> float:
    return sum(one.served_m3 for one in plan.beds)


def _told(made_m3: float, served_m3: float, before: RotationPlan) -> Sentence:
    """Return the difference in words, what beds get in time first."""
    if max(abs(made_m3), abs(served_m3)) < _NOTHING_M3:
        return say("It would change nothing worth telling.")
    if not before.beds:
        return say("The year would surely give {change} of compost.", change=_more(made_m3))
    return say(
        "Beds would surely get {served} in time, and the year would give {made} of compost.",
        served=_more(served_m3),
        made=_more(made_m3),
    )


def _more(change_m3: float) -> Value:
    if abs(change_m3) < _NOTHING_M3:
        return inside(say("no more"))
    amount = Value(abs(change_m3), Measure.VOLUME)
    if change_m3 > 0:
        return inside(say("{amount} more", amount=amount))
    return inside(say("{amount} less", amount=amount))
