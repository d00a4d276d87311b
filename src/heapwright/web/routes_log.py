"""The Log page: what was read, seen and done at a bin; and taking an entry back.

Knows the way from the form to the page that says what was stored. Fields are read in `log_form`.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Path, Request
from starlette.responses import RedirectResponse, Response

from heapwright.advice.signs import limits
from heapwright.errors import NotFound
from heapwright.heap.types import Cover
from heapwright.journal import fields
from heapwright.journal.entries import BinState, EntryKind, new_entry_id
from heapwright.journal.forms import LOOKS, PESTS, PLACES, SMELLS, SQUEEZES
from heapwright.journal.picture import limits as picture_limits
from heapwright.sentences import Sentence
from heapwright.web import (
    done_link,
    faults,
    log_choices,
    log_keeping,
    log_taken,
    pages,
    phone_post,
    photo_form,
    task_cautions,
    told,
    water_form,
)
from heapwright.web.doubt import COMPARED_WITHIN, NEAR_C, Doubt, suspect_jump_c
from heapwright.web.forms import ENTRY_ID, WHOLE_FORM, Filled, FormHere, QueryHere
from heapwright.web.here import GardenHere, now_in, zone_of
from heapwright.web.log_keeping import last_read
from heapwright.web.moments import form_value
from heapwright.web.roles import for_helpers, for_readers
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import counting, undo
from heapwright.workshop.lots import material_of
from heapwright.workshop.today import bin_today

router = APIRouter(include_in_schema=False)

#: Depths offered on the form, besides the garden's own: half a hand to a long probe. [m]
DEPTHS_M = {"us": (0.1524, 0.3048, 0.4572, 0.6096), "metric": (0.15, 0.3, 0.45, 0.6)}
_SAME_DEPTH_M = 0.02
_MOST_IDS = 40


@router.get("/log")
@for_helpers
def show_log(request: Request, garden: GardenHere, asked: QueryHere) -> Response:
    """Show the form, with the bin chosen that the address (or the code on a bin) names.

    An address may also propose what was done (`done_link`); it is shown and not yet stored.
    """
    form = done_link.proposed(asked, garden.state())
    return _form_page(
        request,
        garden,
        form,
        chosen=_chosen(garden, asked.text("bin")),
        proposal=done_link.told_of(form, garden),
    )


@router.get("/b/{key}")
@for_helpers
def from_code(
    request: Request, garden: GardenHere, key: Annotated[str, Path(max_length=80)]
) -> Response:
    """Open the form for the bin whose printed code was scanned, or say that it is gone."""
    state = garden.state()
    if key in state.bins_in_use:
        return RedirectResponse(f"/log?{urlencode({'bin': key})}", status_code=303)
    return pages.render(
        request,
        "log_no_bin.html",
        status_code=404,
        gone=state.bins.get(key),
        bins=list(state.bins_in_use.values()),
    )


@router.post("/log")
@for_helpers
def keep_log(request: Request, garden: GardenHere, form: FormHere) -> Response:
    """Store what the form tells, or show it again with what is wrong, or ask once more."""
    if phone_post.is_from_phone(request):
        return phone_post.answer(request, garden, form)
    if form.text("back_to_form"):
        return _form_page(request, garden, form)
    at = log_keeping.moment_told(garden, form, garden.now())
    question = log_keeping.question(garden, form, at)
    if question is not None:
        photo_form.hold(garden, form, photo_form.brought(garden, form))
        if form.problem(photo_form.PHOTO) is None:
            return _doubt_page(request, garden, form, question)
        return _form_page(request, garden, form, status=422)
    visit = log_keeping.keep(garden, form, at)
    if visit is None:
        whole = form.problem(WHOLE_FORM)
        status = faults.status_of(whole) if whole and not form.first_wrong else 422
        return _form_page(request, garden, form, status=status)
    return RedirectResponse(visit.page, status_code=303)


@router.get("/log/saved")
@for_readers
def show_saved(request: Request, garden: GardenHere, asked: QueryHere) -> Response:
    """Show what was stored, with the way back, and what Today says of the bin now."""
    counts, state = counting(garden), garden.state()
    stored = told.found(garden, asked.every("entry")[:_MOST_IDS])
    entries = [one for one in stored if one.id in counts]
    bin = asked.text("bin")
    moved_to = next((str(e.body["to_bin"]) for e in entries if e.body.get("to_bin")), bin)
    keys = [key for key in (bin, moved_to) if key in state.bins_in_use]
    return pages.render(
        request,
        "log_saved.html",
        stored=[(one.id, told.telling(one, state)) for one in entries],
        came_twice=asked.has("again", "1"),
        today=[bin_today(garden, key) for key in dict.fromkeys(keys)],
        bin_key=bin,
    )


@router.post("/log/undo")
@for_helpers
def take_back(request: Request, garden: GardenHere, form: FormHere) -> Response:
    """Take an entry back, or bring it back when it was taken back."""
    entry_id = form.text(ENTRY_ID)
    if form.text("bring_back"):
        for one in _undos_of(garden, entry_id):
            undo(garden, one, origin="page")
    elif entry_id in counting(garden) or not told.found(garden, [entry_id]):
        undo(garden, entry_id, origin="page")
    asked = {"entry": entry_id, "back": _local(form.text("back"))}
    return RedirectResponse(f"/log/undone?{urlencode(asked)}", status_code=303)


@router.get("/log/undone")
@for_readers
def show_undone(request: Request, garden: GardenHere, entry: str = "", back: str = "/") -> Response:
    """Show that an entry was taken back, with the way to bring it back."""
    entries = told.found(garden, [entry])
    if not entries:
        raise NotFound("There is no such entry", instead="Go back to Today", kept="")
    return pages.render(
        request,
        "log_undone.html",
        entry=entries[0],
        words=told.telling(entries[0], garden.state()),
        counts=entry in counting(garden),
        back=_local(back),
    )


def _chosen(garden: Garden, asked: str) -> str:
    """Return the bin to begin with: the one asked for, else the only one with a heap in it."""
    bins = garden.state().bins_in_use
    if asked in bins:
        return asked
    filled = [key for key, one in bins.items() if one.batch_key is not None]
    return filled[0] if len(filled) == 1 else ""


def _form_page(
    request: Request,
    garden: Garden,
    form: Filled,
    *,
    chosen: str = "",
    status: int = 200,
    proposal: Sequence[Sentence] = (),
) -> Response:
    state = garden.state()
    bins = list(state.bins_in_use.values())
    near, rest = log_choices.lots_to_offer(state)
    return pages.render(
        request,
        "log.html",
        status_code=status,
        form=form,
        chosen=chosen,
        proposal=proposal,
        held=photo_form.held(garden, form),
        photo_side=int(picture_limits()["side_px"][1]),
        photo_quality=picture_limits()["quality"][1] / 100.0,
        after=log_choices.next_free(bins),
        water_taps=log_choices.water_taps(state.settings),
        bins=[(one, _standing(garden, one), last_read(garden, one.key)) for one in bins],
        depths=_depths(garden),
        squeezes=SQUEEZES,
        smells=SMELLS,
        pests=PESTS,
        looks=LOOKS,
        places=PLACES,
        covers=[str(cover) for cover in Cover],
        water_units=water_form.water_units(state.settings),
        taken_to=log_taken.places_to_take(state),
        lots=[(lot, material_of(lot).name) for lot in near],
        more_lots=[(lot, material_of(lot).name) for lot in rest],
        latest=form_value(now_in(garden), zone_of(garden)),
        cautions=task_cautions.for_log(),
        fresh_id=new_entry_id(),
        garden_mark=phone_post.garden_mark(garden),
        hint_limits={
            "most_c": fields.limit("temperature_c").high,
            "suspect_c": suspect_jump_c(),
            "near_c": NEAR_C,
            "jump_c": fields.limit("jump_c").high,
            "least_c": fields.limit("temperature_c").low,
            "within_h": COMPARED_WITHIN / timedelta(hours=1),
            "scorch_c": limits()["stand_back_c"],
        },
    )


def _standing(garden: Garden, bin_state: BinState) -> str:
    key = bin_state.batch_key
    return "" if key is None else garden.state().batches[key].name


def _depths(garden: Garden) -> list[tuple[float, bool]]:
    """Return the depths to offer, and which is the garden's own."""
    settings = garden.state().settings
    own = settings.probe_depth_m
    others = [d for d in DEPTHS_M[settings.units] if abs(d - own) > _SAME_DEPTH_M]
    return [(depth, depth == own) for depth in sorted([own, *others])]


def _doubt_page(request: Request, garden: Garden, form: Filled, question: Doubt) -> Response:
    name = garden.state().bins[form.text("bin")].name if last_read(garden, form.text("bin")) else ""
    return pages.render(
        request,
        "log_doubt.html",
        status_code=422,
        doubt=question,
        bin_name=name,
        carried=form.without("sure", "back_to_form"),
        garden_mark=phone_post.garden_mark(garden),
    )


def _undos_of(garden: Garden, entry_id: str) -> list[str]:
    """Return the ids of the undos that stand against an entry."""
    undone = {str(e.body["of"]) for e in garden.entries() if e.kind is EntryKind.UNDO}
    return [
        e.id
        for e in garden.entries()
        if e.kind is EntryKind.UNDO and e.body["of"] == entry_id and e.id not in undone
    ]


def _local(address: str) -> str:
    """Return an address of our own pages; Today for anything else."""
    is_ours = address.startswith("/") and not address.startswith(("//", "/\\"))
    return address if is_ours and address.isprintable() else "/"
