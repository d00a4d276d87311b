"""The page that corrects one entry of a bin's story.

Knows the way from the form to the correction. Fields are read in `correct_form`.
"""

from __future__ import annotations

from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Path, Request
from starlette.responses import RedirectResponse, Response

from heapwright.errors import HeapwrightError
from heapwright.heap.types import Cover
from heapwright.journal.entries import Entry, new_entry_id
from heapwright.journal.forms import PLACES, SMELLS, SQUEEZES
from heapwright.web import correct_form, faults, pages, told, water_form
from heapwright.web.forms import WHOLE_FORM, Filled, FormHere
from heapwright.web.here import GardenHere, now_in, zone_of
from heapwright.web.moments import form_value
from heapwright.web.roles import for_keepers
from heapwright.web.storing import do_once, known_ids
from heapwright.workshop.correct import as_it_stands, correct
from heapwright.workshop.garden import Garden

router = APIRouter(include_in_schema=False)

EntryId = Annotated[str, Path(max_length=64)]


@router.get("/log/correct/{entry_id}")
@for_keepers
def show_entry(request: Request, garden: GardenHere, entry_id: EntryId) -> Response:
    """Show an entry as it stands, ready to be corrected."""
    entry = as_it_stands(garden, entry_id)
    form = correct_form.shown(entry, garden.state(), zone_of(garden))
    return _page(request, garden, entry, form)


@router.post("/log/correct/{entry_id}")
@for_keepers
def keep_correction(
    request: Request, garden: GardenHere, form: FormHere, entry_id: EntryId
) -> Response:
    """Store the correction, or show the form again with what is wrong."""
    entry = as_it_stands(garden, entry_id)
    said = correct_form.read(form, entry, garden.state(), zone_of(garden), garden.now())
    if form.problems:
        return _page(request, garden, entry, form, status=422)
    new_id = form.id_for("correct")
    try:
        fresh = do_once(
            garden,
            [new_id],
            lambda: correct(
                garden, entry_id, origin="page", body=said.body, at=said.at, new_id=new_id
            ),
        )
    except HeapwrightError as problem:
        form.wrong(WHOLE_FORM, problem)
        return _page(request, garden, entry, form, status=faults.status_of(problem))
    if new_id not in known_ids(garden):  # it says already what was sent
        return RedirectResponse(f"/log/correct/{entry_id}?same=1", status_code=303)
    bin_key = form.text("bin") or str(entry.body.get("bin", ""))
    asked = [("bin", bin_key), ("entry", new_id), *([] if fresh else [("again", "1")])]
    return RedirectResponse(f"/log/saved?{urlencode(asked)}", status_code=303)


def _page(
    request: Request, garden: Garden, entry: Entry, form: Filled, *, status: int = 200
) -> Response:
    state = garden.state()
    bins = sorted(state.bins.values(), key=lambda one: not one.in_use)  # else in their row
    return pages.render(
        request,
        "log_correct.html",
        status_code=status,
        form=form,
        entry=entry,
        words=told.telling(entry, state),
        has=correct_form.has(entry),
        bins=bins,
        water_units=water_form.water_units(state.settings),
        covers=[str(cover) for cover in Cover],
        places=PLACES,
        squeezes=SQUEEZES,
        smells=SMELLS,
        same=bool(request.query_params.get("same")),
        latest=form_value(now_in(garden), zone_of(garden)),
        fresh_id=new_entry_id(),
    )
