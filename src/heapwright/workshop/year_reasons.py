"""Finds what holds a garden's year back, by planning it with one limit lifted at a time.

Knows how long that may take. Knows nothing of what is found.
"""

from __future__ import annotations

from functools import partial

from heapwright.season.rotation_reasons import reasons
from heapwright.season.rotation_solve import plan_rotation
from heapwright.sentences import Sentence
from heapwright.workshop.garden import Garden
from heapwright.workshop.year import year

#: For each limit that is lifted: a sentence needs no proof.
_SECONDS = 1.0


def year_reasons(garden: Garden) -> tuple[Sentence, ...]:
    """Return what holds the year back, and when.

    Raises
    ------
    NotFound
        If there is no bin yet.

    """
    answer = year(garden)
    key = ("year reasons", repr(answer.problem), answer.plan.worth)
    planner = partial(plan_rotation, seconds=_SECONDS)
    return garden.remembered(key, lambda: reasons(answer.problem, answer.plan, planner))
