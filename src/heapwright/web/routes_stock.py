"""The Stock page: what is on hand, what comes, what is thrown away.

Knows the way from the forms to the list. Fields are read in `stock_form`.
"""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from starlette.responses import RedirectResponse, Response

from heapwright.errors import HeapwrightError, NotFound, OutOfRange
from heapwright.journal.entries import new_entry_id
from heapwright.materials.measured import squeeze_words
from heapwright.materials.table import load_materials
from heapwright.quantities import fullness_levels, parse_number
from heapwright.web import faults, pages, stock_form, told, water_form
from heapwright.web.build_words import counted
from heapwright.web.forms import WHOLE_FORM, Filled, FormHere
from heapwright.web.here import GardenHere, now_in, zone_of
from heapwright.web.moments import form_value, read_moment
from heapwright.web.roles import for_keepers, for_readers
from heapwright.web.storing import do_once, known_ids
from heapwright.wording import worded
from heapwright.workshop.answers import LogAnswer
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import counting
from heapwright.workshop.setup import save_container
from heapwright.workshop.stock import add_lot, stock, throw_away

router = APIRouter(include_in_schema=False)
_Entry = Annotated[str, Query(max_length=32)]


@router.get("/stock")
@for_readers
def show_stock(
    request: Request, garden: GardenHere, entry: _Entry = "", again: str = ""
) -> Response:
    """Show what is on hand, and the form for what comes."""
    return _page(request, garden, Filled(), entry=entry, came_twice=bool(again))


@router.post("/stock")
@for_keepers
def keep_lot(request: Request, garden: GardenHere, form: FormHere) -> Response:
    """Write down a new lot, or show the form again with what is wrong."""
    lot = stock_form.read_lot(form, garden)
    at = form.read("at", "When", lambda text: read_moment(text, zone_of(garden), garden.now()))
    if lot is None or form.problems:
        return _page(request, garden, form, status=422)
    entry_id = form.id_for("lot")

    def store() -> LogAnswer:
        container_id = form.id_for("container")
        if lot.own_container is not None and container_id not in known_ids(garden):
            save_container(garden, *lot.own_container, entry_id=container_id, origin="page")
        return add_lot(
            garden,
            material=lot.material.key,
            container=lot.container,
            count=lot.count,
            fullness=lot.fullness,
            packing=lot.packing,
            keep_back=lot.keep_back,
            measured=lot.measured,
            at=at,
            entry_id=entry_id,
            origin="page",
        )

    try:
        fresh = do_once(garden, [entry_id], store)
    except HeapwrightError as problem:
        form.wrong(WHOLE_FORM, problem)
        return _page(request, garden, form, status=faults.status_of(problem))
    return _back_to_list(entry_id, fresh)


@router.post("/stock/gone")
@for_keepers
def keep_gone(request: Request, garden: GardenHere, form: FormHere) -> Response:
    """Write down that containers of a lot are gone."""
    lot_key = form.text("lot")
    name = f"gone.{lot_key}"
    lot = garden.state().lots.get(lot_key)
    if lot is None:
        raise NotFound(
            "This lot is not on the list any more", instead="Go back to the stock list", kept=""
        )

    def how_many(text: str) -> float:
        count = parse_number(text, what="How many")
        if not 0 < count <= lot.left:
            raise OutOfRange(
                worded("{count:g} are said to be gone", count=count),
                why=worded("{left:g} are left", left=lot.left),
                instead="Count again",
            )
        return count

    count = form.need(name, "How many", how_many, "how many are gone")
    if count is None:
        return _page(request, garden, form, status=422)
    entry_id = form.id_for("gone")
    try:
        fresh = do_once(
            garden,
            [entry_id],
            lambda: throw_away(garden, lot_key, count, entry_id=entry_id, origin="page"),
        )
    except HeapwrightError as problem:
        form.wrong(WHOLE_FORM, problem)
        return _page(request, garden, form, status=faults.status_of(problem))
    return _back_to_list(entry_id, fresh)


def _back_to_list(entry_id: str, fresh: bool) -> Response:
    again = "" if fresh else "&again=1"
    return RedirectResponse(f"/stock?entry={entry_id}{again}", status_code=303)


def _page(
    request: Request,
    garden: Garden,
    form: Filled,
    *,
    status: int = 200,
    entry: str = "",
    came_twice: bool = False,
) -> Response:
    stored = [one for one in told.found(garden, [entry]) if one.id in counting(garden)]
    return pages.render(
        request,
        "stock.html",
        status_code=status,
        form=form,
        lines=stock(garden),
        stored=[(one.id, told.telling(one, garden.state())) for one in stored],
        came_twice=came_twice,
        meant=stock_form.materials_meant(form),
        is_refused=stock_form.is_refused(form.problem("material")),
        names=stock_form.known_names(load_materials()),
        containers=stock_form.container_choices(garden),
        levels=list(fullness_levels()),
        squeezes=squeeze_words(),
        usual_pail=water_form.pail(garden.state().settings),
        latest=form_value(now_in(garden), zone_of(garden)),
        fresh_id=new_entry_id(),
        counted=counted,
    )
