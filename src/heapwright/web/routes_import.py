"""The Import page: a thermometer's log goes in after it was looked at; everything goes out.

Knows the way from the file to the preview to what was stored. Fields are read in `import_form`.
"""

from __future__ import annotations

import os
import tempfile
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from starlette.background import BackgroundTask
from starlette.responses import FileResponse, RedirectResponse, Response

from heapwright.errors import HeapwrightError, NotUnderstood
from heapwright.journal.entries import new_entry_id
from heapwright.web import faults, import_form, pages
from heapwright.web.forms import WHOLE_FORM, Filled, FormHere
from heapwright.web.here import GardenHere, now_in
from heapwright.web.roles import for_keepers, for_owners
from heapwright.workshop.garden import Garden
from heapwright.workshop.today import bin_today
from heapwright.workshop.transfer import (
    export_journal,
    export_readings_csv,
    export_with_photos,
    import_journal,
    import_thermometer,
)

router = APIRouter(include_in_schema=False)
_MOST_SHOWN = 60


@router.get("/import")
@for_keepers
def show_import(request: Request, garden: GardenHere, bin: str = "") -> Response:
    """Show the forms that take a log or a journal in, and the way out."""
    return _page(request, garden, Filled(), chosen=bin)


@router.post("/import")
@for_keepers
def take_log(request: Request, garden: GardenHere, form: FormHere) -> Response:
    """Look at a log, or store what was looked at."""
    looked = import_form.look(form, garden)
    if looked is None:
        return _page(request, garden, form, status=422)
    if form.text("step") != "store" or looked.seen.questions:
        return _preview(request, garden, form, looked)
    if not looked.seen.entries and not looked.seen.already_stored:
        form.wrong(WHOLE_FORM, import_form.nothing_to_store(looked.seen))
        return _preview(request, garden, form, looked, status=422)
    try:
        answer = import_thermometer(garden, looked.seen)
    except HeapwrightError as problem:
        form.wrong(WHOLE_FORM, problem)
        return _preview(request, garden, form, looked, status=faults.status_of(problem))
    told = {
        "bin": form.text("bin"),
        "stored": len(answer.stored),
        "known": looked.seen.already_stored + len(answer.already_there),
        "bad": len(looked.seen.bad),
    }
    return RedirectResponse(f"/import/done?{urlencode(told)}", status_code=303)


@router.get("/import/done")
@for_keepers
def show_done(
    request: Request, garden: GardenHere, bin: str, stored: int = 0, known: int = 0, bad: int = 0
) -> Response:
    """Show what became of a log, and what Today says of the bin now."""
    garden.bin(bin)
    return pages.render(
        request,
        "import_done.html",
        counts={"stored": stored, "known": known, "bad": bad},
        shown=bin_today(garden, bin),
    )


@router.post("/import/journal")
@for_owners
def take_journal(request: Request, garden: GardenHere, form: FormHere) -> Response:
    """Read an exported journal back; each entry is stored once."""
    data = form.files.get("journal", b"")
    try:
        if not data.strip():
            raise NotUnderstood("No journal was chosen", instead="Choose the file you exported")
        # What is read back keeps who wrote it, and may hold every kind of entry: the owner's alone.
        imported = import_journal(garden.written_by(None), data)
    except HeapwrightError as problem:
        form.wrong("journal", problem)
        return _page(request, garden, form, status=faults.status_of(problem))
    return pages.render(
        request,
        "import_journal.html",
        stored=len(imported.answer.stored),
        known=len(imported.answer.already_there),
        problems=imported.problems,
        photos=imported.photos,
    )


@router.get("/export/journal.json")
@for_owners
def send_journal(garden: GardenHere) -> Response:
    """Hand out the whole journal as one file that can be read back."""
    return _file(garden, export_journal(garden), "journal", "json", "application/json")


@router.get("/export/journal-with-photos.zip")
@for_owners
def send_journal_with_photos(garden: GardenHere) -> Response:
    """Hand out the whole journal with its photos as one file that can be read back."""
    handle, name = tempfile.mkstemp(suffix=".zip")
    try:
        with os.fdopen(handle, "wb") as out:
            export_with_photos(garden, out)
    except BaseException:
        os.unlink(name)
        raise
    return FileResponse(
        name,
        media_type="application/zip",
        filename=f"heapwright-journal-{now_in(garden):%Y-%m-%d}.zip",
        background=BackgroundTask(os.unlink, name),
    )


@router.get("/export/readings.csv")
@for_keepers
def send_readings(garden: GardenHere) -> Response:
    """Hand out every reading as a table for a spreadsheet."""
    return _file(garden, export_readings_csv(garden), "readings", "csv", "text/csv")


def _file(garden: Garden, text: str, what: str, ending: str, media: str) -> Response:
    name = f"heapwright-{what}-{now_in(garden):%Y-%m-%d}.{ending}"
    return Response(
        text,
        media_type=f"{media}; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


def _page(
    request: Request, garden: Garden, form: Filled, *, chosen: str = "", status: int = 200
) -> Response:
    bins = _bins(garden)
    filled = [one.key for one in bins if one.batch_key]
    usual = chosen or (filled[0] if len(filled) == 1 else "")
    return pages.render(
        request, "import.html", status_code=status, form=form, bins=bins, chosen=usual
    )


def _bins(garden: Garden) -> list[Any]:
    return sorted(garden.state().bins_in_use.values(), key=lambda one: (one.order, one.key))


def _preview(
    request: Request,
    garden: Garden,
    form: Filled,
    looked: import_form.Looked,
    *,
    status: int = 200,
) -> Response:
    seen = looked.seen
    fresh = [row for row in seen.good if not row.already_stored]
    return pages.render(
        request,
        "import_preview.html",
        status_code=status,
        form=form,
        seen=seen,
        fresh=fresh,
        samples=fresh if len(fresh) <= 8 else [*fresh[:5], *fresh[-3:]],
        bad=seen.bad[:_MOST_SHOWN],
        bad_more=max(0, len(seen.bad) - _MOST_SHOWN),
        packed=import_form.pack(looked.data),
        roles=import_form.role_choices(seen),
        not_there=import_form.NOT_THERE,
        bins=_bins(garden),
        asked={question.answer for question in seen.questions},
        fresh_id=new_entry_id(),
    )
