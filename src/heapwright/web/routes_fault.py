"""The page that finds a heap's fault, and the same answer for programs.

Knows the way from what is ticked to the page. Nothing is stored: what is seen goes in the address.
"""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Request
from starlette.responses import Response

from heapwright.diagnosis.looks import said, ticks
from heapwright.diagnosis.types import Seen
from heapwright.journal.forms import LOOKS, PESTS, SMELLS, SQUEEZES
from heapwright.web import api_diagnose_models as models
from heapwright.web import pages, task_cautions
from heapwright.web.api_models import Problem
from heapwright.web.fault_form import IN_THE_BED, fault_page, read_seen, told_only
from heapwright.web.forms import QueryHere
from heapwright.web.here import GardenHere
from heapwright.web.roles import for_readers
from heapwright.workshop.diagnose import diagnose
from heapwright.workshop.plain import to_plain

router = APIRouter()
_BinKey = Annotated[str, Path(max_length=80)]
_Word = Annotated[str, Query(max_length=40)]
_Words = Annotated[list[str] | None, Query(max_length=40)]


@router.get("/bins/{key}/fault", include_in_schema=False)
@for_readers
def show_fault(request: Request, garden: GardenHere, key: _BinKey, asked: QueryHere) -> Response:
    """Show what is most likely wrong with a heap, by the journal and what is ticked."""
    form = told_only(asked)
    seen = read_seen(form)
    answer = diagnose(garden, garden.bin(key).key, Seen() if form.problems else seen)
    return pages.render(
        request,
        "find_fault.html",
        status_code=422 if form.problems else 200,
        form=form,
        page=fault_page(answer),
        smells=SMELLS,
        squeezes=SQUEEZES,
        pests=PESTS,
        looks=[one for one in LOOKS if one not in IN_THE_BED],
        in_the_bed=IN_THE_BED,
        not_found=[one for one in form.every("not") if one in ticks() and one in seen.absent],
        cautions=task_cautions.for_log()["squeeze"],
        is_told=seen != Seen(),
    )


@router.get(
    "/api/bins/{key}/diagnosis",
    response_model=models.DiagnosisModel,
    responses={
        404: {"model": Problem, "description": "There is no such bin, or nothing in it"},
        422: {"model": Problem, "description": "Something in it cannot be right"},
        503: {"model": Problem, "description": "The journal cannot be reached just now"},
    },
)
@for_readers
def api_diagnosis(
    garden: GardenHere,
    key: _BinKey,
    smell: _Word = "",
    squeeze: _Word = "",
    seen: _Words = None,
    not_found: _Words = None,
) -> Any:
    """Return what is most likely wrong with a heap; nothing is stored."""
    told = said(smell, squeeze, seen or (), not_found or ())
    return to_plain(diagnose(garden, key, told), garden.reader())
