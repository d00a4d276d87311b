"""The page on whether a heap is finished: guided tests, their results, and screening.

Knows the way from the forms to the page that shows what was stored. Fields are read in
`ready_form`.
"""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any
from urllib.parse import quote, urlencode

from fastapi import APIRouter, Path, Query, Request
from starlette.responses import RedirectResponse, Response

from heapwright.errors import HeapwrightError
from heapwright.finish.guides import load_guides
from heapwright.finish.types import RECORDED
from heapwright.journal.entries import EntryKind, new_entry_id
from heapwright.web import faults, pages, ready_form, ready_page
from heapwright.web.forms import WHOLE_FORM, Filled, FormHere
from heapwright.web.here import GardenHere, now_in, zone_of
from heapwright.web.moments import form_value, read_moment
from heapwright.web.page_forms import forms_on_page, just_stored
from heapwright.web.roles import for_keepers, for_readers
from heapwright.web.storing import Told, made_entry, store_once
from heapwright.workshop.garden import Garden
from heapwright.workshop.ready import SCREENING, ready

router = APIRouter(include_in_schema=False)
_BinKey = Annotated[str, Path(max_length=80)]
_Entry = Annotated[str, Query(max_length=32)]
#: Which form of the page was sent, besides the tests.
_SCREENING = "screening"


@router.get("/bins/{key}/ready")
@for_readers
def show_ready(
    request: Request, garden: GardenHere, key: _BinKey, entry: _Entry = "", again: str = ""
) -> Response:
    """Show whether the heap is finished, and the tests step by step."""
    return _page(request, garden, key, entry=entry, came_twice=bool(again))


@router.post("/bins/{key}/ready")
@for_keepers
def keep_result(request: Request, garden: GardenHere, key: _BinKey, form: FormHere) -> Response:
    """Store the result of a test."""
    here = garden.bin(key).key
    read = ready_form.read_test(form, garden.reader().units)
    at = _at(form, garden)
    which = form.text("procedure")
    if read is None or form.problems:
        return _page(request, garden, key, form, which if which in RECORDED else "", status=422)
    procedure, numbers = read
    body = {"bin": here, "procedure": str(procedure), **numbers}
    return _stored(request, garden, key, form, which, Told("test", EntryKind.TEST, body), at)


@router.post("/bins/{key}/screen")
@for_keepers
def keep_screening(request: Request, garden: GardenHere, key: _BinKey, form: FormHere) -> Response:
    """Store that the heap was screened; what was kept back becomes a lot."""
    here = garden.bin(key).key
    fields = ready_form.read_screening(form, garden, form.id_for("screen"))
    at = _at(form, garden)
    if fields is None or form.problems:
        return _page(request, garden, key, form, _SCREENING, status=422)
    made = Told("screen", EntryKind.SCREEN, {**fields, "bin": here})
    return _stored(request, garden, key, form, _SCREENING, made, at)


def _at(form: Filled, garden: Garden) -> datetime:
    read = form.read(
        "at", "When it was", lambda text: read_moment(text, zone_of(garden), garden.now())
    )
    return read or garden.now()


def _stored(
    request: Request,
    garden: Garden,
    key: str,
    form: Filled,
    which: str,
    made: Told,
    at: datetime,
) -> Response:
    entry = made_entry(garden, made, form.id_for(made.what), at)
    try:
        fresh = store_once(garden, [entry])
    except HeapwrightError as problem:
        form.wrong(WHOLE_FORM, problem)
        return _page(request, garden, key, form, which, status=faults.status_of(problem))
    asked = {"entry": entry.id} | ({} if fresh else {"again": "1"})
    return RedirectResponse(f"/bins/{quote(key)}/ready?{urlencode(asked)}", status_code=303)


def _page(
    request: Request,
    garden: Garden,
    key: str,
    form: Filled | None = None,
    which: str = "",
    *,
    status: int = 200,
    entry: str = "",
    came_twice: bool = False,
) -> Response:
    here: dict[str, Any] = {
        "answer": ready(garden, key),
        "shown": garden.bin(key),
        "tests": ready_page.cards_of_tests(garden.reader().units),
        "names": {one: guide.name for one, guide in load_guides().items()},
        "screen_cautions": SCREENING,
    }
    return pages.render(
        request,
        "ready_page.html",
        status_code=status,
        form_of=forms_on_page(form, which),
        wrong_form=form if form is not None else Filled(),
        open_form=which,
        stored=just_stored(garden, entry),
        came_twice=came_twice,
        latest=form_value(now_in(garden), zone_of(garden)),
        fresh_id=new_entry_id(),
        **here,
    )
