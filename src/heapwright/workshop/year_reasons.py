"""Finds what holds a garden's year back, by planning it with one limit lifted at a time.

Knows how long that may take. Knows nothing of what is found.
"""

from __future__ import annotations

from functools import partial

from heapwright.season.rotation_plan import RotationPlan
from heapwright.season.rotation_reasons import Reasons, reasons
from heapwright.season.rotation_solve import plan_rotation
from heapwright.workshop.year_problem import YearInputs

#: For each limit that is lifted: a sentence needs no proof.
_SECONDS = 1.0


def year_reasons(inputs: YearInputs, plan: RotationPlan) -> Reasons:
    """Return what holds the year back, and which wishes no plan meets."""
    return reasons(inputs.problem, plan, partial(plan_rotation, seconds=_SECONDS))
