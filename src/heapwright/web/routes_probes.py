"""The page of thermometers that report by themselves: how each is, entering, moving, withdrawing.

Knows the way from the forms to the probes. A token is shown on the page that answers its making and
nowhere else; that page is never kept.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Path, Query, Request
from starlette.responses import RedirectResponse, Response

from heapwright.errors import HeapwrightError, NotUnderstood
from heapwright.journal import fields
from heapwright.journal.entries import new_entry_id
from heapwright.journal.forms import PLACES
from heapwright.quantities import UnitSystem, format_length, parse_length_m
from heapwright.web import faults, pages
from heapwright.web.forms import WHOLE_FORM, Filled, FormHere, within
from heapwright.web.guards import THIS_MACHINE
from heapwright.web.here import GardenHere
from heapwright.web.page_forms import forms_on_page, just_stored, store_or_show
from heapwright.web.roles import for_keepers, for_readers
from heapwright.web.storing import known_ids
from heapwright.workshop.garden import Garden
from heapwright.workshop.probes import (
    add_probe,
    move_probe,
    probe_of,
    probes,
    renew_token,
    withdraw_probe,
)

router = APIRouter(include_in_schema=False)
_Key = Annotated[str, Path(max_length=80)]
_Entry = Annotated[str, Query(max_length=32)]
_NEW = "new-probe"
#: A page that shows a token stays in no cache and no history of a browser.
_NEVER_KEPT = {"Cache-Control": "no-store"}


@router.get("/probes")
@for_readers
def show_probes(request: Request, garden: GardenHere, entry: _Entry = "") -> Response:
    """Show the thermometers that report by themselves, and how they are."""
    return _page(request, garden, entry=entry)


@router.post("/probes")
@for_keepers
def enter_probe(request: Request, garden: GardenHere, form: FormHere) -> Response:
    """Enter a thermometer and show its token, this once."""
    name = form.need("name", "Its name", _name, "such as Core left")
    bin_key = form.one_of("bin", "Bin", garden.state().bins_in_use)
    depth_m = _depth(form, garden)
    where = form.one_of("where", "Place", PLACES) if form.text("where") else ""
    if bin_key is None:
        form.wrong("bin", NotUnderstood("The bin is missing", instead="Choose where it is"))
    if form.problems or name is None or bin_key is None:
        return _page(request, garden, form, _NEW, status=422)
    entry_id = form.id_for("probe")
    if entry_id in known_ids(garden):
        return RedirectResponse(f"/probes?{urlencode({'entry': entry_id})}", status_code=303)
    try:
        made = add_probe(
            garden,
            name,
            bin_key,
            origin="page",
            depth_m=depth_m,
            where=where or "",
            entry_id=entry_id,
        )
    except HeapwrightError as problem:
        form.wrong(WHOLE_FORM, problem)
        return _page(request, garden, form, _NEW, status=faults.status_of(problem))
    return _page(request, garden, made=(made.key, made.token))


@router.post("/probes/{key}/move")
@for_keepers
def put_elsewhere(request: Request, garden: GardenHere, key: _Key, form: FormHere) -> Response:
    """Put a thermometer into another bin."""
    bin_key = form.one_of("bin", "Bin", garden.state().bins_in_use)
    if bin_key is None:
        form.wrong("bin", NotUnderstood("The bin is missing", instead="Choose where it goes"))
        return _page(request, garden, form, f"move-{key}", status=422)
    entry_id = form.id_for("probe")
    return _stored(
        request,
        garden,
        form,
        f"move-{key}",
        entry_id,
        lambda: move_probe(garden, key, bin_key, origin="page", entry_id=entry_id),
    )


@router.post("/probes/{key}/token")
@for_keepers
def make_new_token(request: Request, garden: GardenHere, key: _Key) -> Response:
    """Make a new token and show it, this once; the old one no longer counts."""
    return _page(request, garden, made=(key, renew_token(garden, key)))


@router.post("/probes/{key}/gone")
@for_keepers
def withdraw(request: Request, garden: GardenHere, key: _Key, form: FormHere) -> Response:
    """Withdraw a thermometer; what it reported stays."""
    entry_id = form.id_for("gone")
    return _stored(
        request,
        garden,
        form,
        f"gone-{key}",
        entry_id,
        lambda: withdraw_probe(garden, key, origin="page", entry_id=entry_id),
    )


def _name(text: str) -> str:
    return str(fields.text(fields.NAME_LENGTH)("Its name", text))


def _depth(form: Filled, garden: Garden) -> float | None:
    system = UnitSystem(garden.state().settings.units)

    def read(text: str) -> float:
        metres = parse_length_m(text, system, what="Depth")
        return within("probe_depth_m", "Depth", metres, lambda m: format_length(m, system))

    return form.read("depth", "Depth", read)


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

    return store_or_show(garden, form, entry_id, store, back="/probes", show=show)


def _page(
    request: Request,
    garden: Garden,
    form: Filled | None = None,
    which: str = "",
    *,
    status: int = 200,
    entry: str = "",
    made: tuple[str, str] | None = None,
) -> Response:
    """Return the page; `made` is the key of a probe and its new token, to be shown this once."""
    state = garden.state()

    answer = pages.render(
        request,
        "probes.html",
        status_code=status,
        form_of=forms_on_page(form, which),
        wrong_form=form if form is not None else Filled(),
        stored=just_stored(garden, entry),
        probes=probes(garden),
        bins=[(one.key, one.name) for one in state.bins_in_use.values()],
        places=[place for place in PLACES if place != "core"],
        usual_depth=format_length(state.settings.probe_depth_m, UnitSystem(state.settings.units)),
        made=None if made is None else probe_of(garden, made[0]),
        token="" if made is None else made[1],
        house=f"{request.url.scheme}://{request.url.netloc}",
        is_this_machine=request.url.hostname in THIS_MACHINE,
        fresh_id=new_entry_id(),
    )
    if made is not None:
        answer.headers.update(_NEVER_KEPT)
    return answer
