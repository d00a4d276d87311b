"""The year for programs: the plan with its jobs and beds, and what a change would do.

Knows the addresses. The documents are in `api_year_models`.
"""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter

from heapwright.web import api_year_models as models
from heapwright.web.api_models import Problem
from heapwright.web.here import GardenHere, ReaderHere
from heapwright.web.roles import for_readers
from heapwright.workshop.plain import to_plain
from heapwright.workshop.year import year
from heapwright.workshop.year_reasons import year_reasons
from heapwright.workshop.year_what_if import year_what_if

_NOT_NOW: dict[int | str, dict[str, Any]] = {
    404: {"model": Problem, "description": "There is no bin yet"},
    422: {"model": Problem, "description": "A heap of this garden cannot be modelled"},
    503: {
        "model": Problem,
        "description": "The journal cannot be reached just now; nothing is lost, send again",
    },
}
router = APIRouter(prefix="/api", responses=_NOT_NOW)
_TOLD = ("headline", "proof", "jobs", "beds", "batches", "cannot", "changes")


@router.get("/year", response_model=models.YearModel)
@for_readers
def api_year(garden: GardenHere, reader: ReaderHere) -> Any:
    """Return how the year goes: every job, what beds get in time, what holds it back."""
    answer = year(garden)
    names = (*_TOLD, "lacking", "basis", "first_day")
    told = {name: to_plain(getattr(answer, name), reader) for name in names}
    return {**told, "reasons": to_plain(year_reasons(garden), reader)}


@router.get("/year/what-if", response_model=list[models.WhatIfYearModel])
@for_readers
def api_what_if(garden: GardenHere, reader: ReaderHere) -> Any:
    """Return what one more bin, shredding or a helper would do to the year."""
    return to_plain(year_what_if(garden), reader)
