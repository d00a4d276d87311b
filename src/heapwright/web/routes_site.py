"""The page before the first bin: what a place can hold and give, with its form and floor plan.

Knows the way from the form to the workshop. Reckons nothing.
"""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from starlette.responses import RedirectResponse, Response

from heapwright.errors import HeapwrightError
from heapwright.journal.entries import new_entry_id
from heapwright.quantities import UnitSystem
from heapwright.sources import describe
from heapwright.web import faults, pages, site_form, told
from heapwright.web.forms import WHOLE_FORM, Filled, FormHere
from heapwright.web.here import GardenHere, ReaderHere
from heapwright.web.roles import for_keepers, for_readers
from heapwright.web.site_picture import site_picture
from heapwright.web.storing import do_once
from heapwright.workshop.beds_words import range_of
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import counting
from heapwright.workshop.site import say_of_site, site, site_of

router = APIRouter(include_in_schema=False)
_Entry = Annotated[str, Query(max_length=32)]


@router.get("/site")
@for_readers
def show_site(
    request: Request, garden: GardenHere, reader: ReaderHere, entry: _Entry = ""
) -> Response:
    """Show what the place can hold and give."""
    return _page(request, garden, reader, Filled(), entry=entry)


@router.post("/site")
@for_keepers
def keep_site(request: Request, garden: GardenHere, reader: ReaderHere, form: FormHere) -> Response:
    """Keep what is said of the place."""
    system = UnitSystem(garden.state().settings.units)
    said = site_form.read_site(form, site_of(garden), system)
    if said is None:
        return _page(request, garden, reader, form, status=422)
    entry_id = form.id_for("site")
    try:
        do_once(
            garden,
            [entry_id],
            lambda: say_of_site(garden, said, origin="page", entry_id=entry_id),
        )
    except HeapwrightError as problem:
        form.wrong(WHOLE_FORM, problem)
        return _page(request, garden, reader, form, status=faults.status_of(problem))
    return RedirectResponse(f"/site?entry={entry_id}", status_code=303)


def _page(
    request: Request,
    garden: Garden,
    reader: ReaderHere,
    form: Filled,
    *,
    status: int = 200,
    entry: str = "",
) -> Response:
    state, answer = garden.state(), site(garden)
    stored = [one for one in told.found(garden, [entry]) if one.id in counting(garden)]
    return pages.render(
        request,
        "site.html",
        status_code=status,
        form=form,
        stored=[(one.id, told.telling(one, state)) for one in stored],
        answer=answer,
        materials=[(one, range_of(one.material.volume_m3)) for one in answer.materials],
        picture=None if answer.plan is None else site_picture(answer.plan, reader),
        said=site_form.shown(answer.site, UnitSystem(state.settings.units)),
        examples=[(one, describe(one.source)) for one in answer.distances],
        has_bins=bool(state.bins_in_use),
        fresh_id=new_entry_id(),
    )
