"""The page of the year's stock: what arrives, what runs out, how many bags to save.

Knows the way from the forms to the arrivals and which pictures go on the page.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated

from fastapi import APIRouter, Path, Query, Request
from starlette.responses import Response

from heapwright.journal.entries import new_entry_id
from heapwright.materials.table import load_materials
from heapwright.web import pages, stock_form
from heapwright.web.forms import Filled, FormHere
from heapwright.web.here import GardenHere
from heapwright.web.page_forms import forms_on_page, just_stored, store_or_show
from heapwright.web.roles import for_keepers, for_readers
from heapwright.web.stock_ahead_form import read_arrival, season_days, shown, shown_proposal
from heapwright.web.stock_curves import class_picture, stock_rows
from heapwright.workshop.arrivals import (
    add_arrival,
    arrival_of,
    arrivals,
    drop_arrival,
    proposals,
)
from heapwright.workshop.garden import Garden
from heapwright.workshop.stock_ahead import stock_ahead

router = APIRouter(include_in_schema=False)
_Key = Annotated[str, Path(max_length=80)]
_Entry = Annotated[str, Query(max_length=32)]
_NEW = "new-arrival"


@router.get("/stock/ahead")
@for_readers
def show_stock_ahead(request: Request, garden: GardenHere, entry: _Entry = "") -> Response:
    """Show how the stock goes through the year, and what is expected to arrive."""
    return _page(request, garden, entry=entry)


@router.post("/stock/ahead")
@for_keepers
def enter_arrival(request: Request, garden: GardenHere, form: FormHere) -> Response:
    """Enter what arrives in its season."""
    said = read_arrival(form, garden)
    if said is None:
        return _page(request, garden, form, _NEW, status=422)
    entry_id = form.id_for("arrival")
    return _stored(
        request,
        garden,
        form,
        _NEW,
        entry_id,
        lambda: add_arrival(garden, **said, origin="page", entry_id=entry_id),
    )


@router.post("/stock/ahead/{key}")
@for_keepers
def alter_arrival(request: Request, garden: GardenHere, key: _Key, form: FormHere) -> Response:
    """Alter what arrives in its season."""
    arrival_of(garden, key)
    said = read_arrival(form, garden)
    if said is None:
        return _page(request, garden, form, f"alter-{key}", status=422)
    entry_id = form.id_for("arrival")
    return _stored(
        request,
        garden,
        form,
        f"alter-{key}",
        entry_id,
        lambda: add_arrival(garden, **said, key=key, origin="page", entry_id=entry_id),
    )


@router.post("/stock/ahead/{key}/gone")
@for_keepers
def drop(request: Request, garden: GardenHere, key: _Key, form: FormHere) -> Response:
    """Write down that something no longer arrives."""
    entry_id = form.id_for("gone")
    return _stored(
        request,
        garden,
        form,
        f"gone-{key}",
        entry_id,
        lambda: drop_arrival(garden, key, origin="page", entry_id=entry_id),
    )


def _stored(
    request: Request,
    garden: Garden,
    form: Filled,
    which: str,
    entry_id: str,
    store: Callable[[], object],
) -> Response:
    def show(status: int) -> Response:
        return _page(request, garden, form, which, status=status)

    return store_or_show(garden, form, entry_id, store, back="/stock/ahead", show=show)


def _page(
    request: Request,
    garden: Garden,
    form: Filled | None = None,
    which: str = "",
    *,
    status: int = 200,
    entry: str = "",
) -> Response:
    answer, reader, there = stock_ahead(garden), garden.reader(), arrivals(garden)
    days = [one.arrival for one in there]

    return pages.render(
        request,
        "stock_ahead.html",
        status_code=status,
        form_of=forms_on_page(form, which),
        wrong_form=form if form is not None else Filled(),
        which=which,
        stored=just_stored(garden, entry),
        answer=answer,
        pictures=[(one, class_picture(one, answer, reader)) for one in answer.classes],
        rows=stock_rows(answer, reader),
        cards=[(one, shown(one.arrival, one.material_name, garden)) for one in there],
        proposed=[(one, shown_proposal(one, garden)) for one in proposals(garden)],
        has_site=bool(garden.state().year.site),
        meant=stock_form.materials_meant(form) if form is not None else [],
        names=stock_form.known_names(load_materials()),
        containers=stock_form.container_choices(garden),
        from_days=season_days("from", *(one.from_day for one in days)),
        to_days=season_days("to", *(one.to_day for one in days)),
        fresh_id=new_entry_id(),
    )
