"""The Garden page: settings, bins, own containers, and leaving the invented garden.

Knows the way from the forms to the settings. Fields are read in `setup_form`.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated
from urllib.parse import urlencode, urlsplit

from fastapi import APIRouter, Path, Query, Request
from starlette.responses import RedirectResponse, Response

from heapwright.errors import HeapwrightError
from heapwright.heap.types import Cover, Ground, Wall
from heapwright.journal.entries import BinState, new_entry_id
from heapwright.quantities import UnitSystem, format_length
from heapwright.weather_sources.online import default_settings
from heapwright.web import faults, pages, setup_form, water_form
from heapwright.web.forms import WHOLE_FORM, Filled, FormHere
from heapwright.web.here import GardenHere
from heapwright.web.page_forms import forms_on_page, just_stored
from heapwright.web.roles import for_keepers, for_owners
from heapwright.web.storing import do_once, known_ids
from heapwright.wording import languages
from heapwright.workshop.demo import leave_demo_garden
from heapwright.workshop.garden import Garden
from heapwright.workshop.setup import (
    bins_out_of_use,
    climate_choices,
    put_bin_out_of_use,
    save_bin,
    save_container,
    settings,
)

router = APIRouter(include_in_schema=False)
_Entry = Annotated[str, Query(max_length=32)]
_BinKey = Annotated[str, Path(max_length=80)]
#: Which form of the page was sent.
_SETTINGS, _NEW_BIN, _CONTAINER = "settings", "new-bin", "container"


@router.get("/setup")
@for_keepers
def show_setup(
    request: Request, garden: GardenHere, entry: _Entry = "", again: str = "", same: str = ""
) -> Response:
    """Show the garden's settings, bins and containers."""
    message = "This came twice; it is stored once." if again else ""
    if same:
        message = "Nothing was different, so nothing was stored."
    return _page(request, garden, entry=entry, message=message)


@router.post("/setup")
@for_owners
def keep_settings(request: Request, garden: GardenHere, form: FormHere) -> Response:
    """Store the settings that were changed."""
    changes = setup_form.read_settings(form, garden.state())
    if form.problems:
        return _page(request, garden, form, _SETTINGS, status=422)
    if not changes:
        return RedirectResponse("/setup?same=1", status_code=303)
    entry_id = form.id_for("garden")
    return _stored(
        request,
        garden,
        form,
        _SETTINGS,
        [entry_id],
        lambda: settings(garden, entry_id=entry_id, origin="page", **changes),
    )


@router.post("/setup/bins")
@for_keepers
def make_bins(request: Request, garden: GardenHere, form: FormHere) -> Response:
    """Make one bin, or several alike in a row."""
    made = setup_form.read_bin(form, garden.state())
    if made is None:
        return _page(request, garden, form, _NEW_BIN, status=422)
    ids = [form.id_for(f"bin {number}") for number in range(made.how_many)]

    def store() -> None:
        known = known_ids(garden)
        for number, one in enumerate(ids):
            if one in known:
                continue  # made before the row broke off
            save_bin(
                garden,
                name=made.name if made.how_many == 1 else f"{made.name} {number + 1}",
                width_m=made.width_m,
                depth_m=made.depth_m,
                height_m=made.height_m,
                wall=made.wall,
                cover=made.cover,
                ground=made.ground,
                shade=made.shade,
                entry_id=one,
                origin="page",
            )

    return _stored(request, garden, form, _NEW_BIN, ids, store)


@router.post("/setup/bins/{key}")
@for_keepers
def alter_bin(request: Request, garden: GardenHere, key: _BinKey, form: FormHere) -> Response:
    """Alter a bin."""
    here = garden.bin(key)
    changed = setup_form.read_bin(form, garden.state(), here)
    if changed is None:
        return _page(request, garden, form, f"bin-{key}", status=422)
    entry_id = form.id_for("bin")
    return _stored(
        request,
        garden,
        form,
        f"bin-{key}",
        [entry_id],
        lambda: save_bin(
            garden,
            name=changed.name,
            width_m=changed.width_m,
            depth_m=changed.depth_m,
            height_m=changed.height_m,
            wall=changed.wall,
            cover=changed.cover,
            ground=changed.ground,
            shade=changed.shade,
            order=here.order,
            key=key,
            entry_id=entry_id,
            origin="page",
        ),
    )


@router.post("/setup/bins/{key}/gone")
@for_owners
def end_bin(request: Request, garden: GardenHere, key: _BinKey, form: FormHere) -> Response:
    """Put an empty bin out of use."""
    entry_id = form.id_for("gone")
    return _stored(
        request,
        garden,
        form,
        f"gone-{key}",
        [entry_id],
        lambda: put_bin_out_of_use(garden, key, entry_id=entry_id, origin="page"),
    )


@router.post("/setup/containers")
@for_keepers
def keep_container(request: Request, garden: GardenHere, form: FormHere) -> Response:
    """Store a container of this person's own."""
    found = setup_form.read_container(form, garden.state())
    if found is None:
        return _page(request, garden, form, _CONTAINER, status=422)
    entry_id = form.id_for("container")
    return _stored(
        request,
        garden,
        form,
        _CONTAINER,
        [entry_id],
        lambda: save_container(garden, *found, entry_id=entry_id, origin="page"),
    )


@router.post("/setup/leave-demo")
@for_owners
def leave_demo(garden: GardenHere) -> Response:
    """Take everything back, so that the garden is empty again; the journal keeps it all."""
    leave_demo_garden(garden, origin="page")
    return RedirectResponse("/", status_code=303)


def _stored(
    request: Request,
    garden: Garden,
    form: Filled,
    which: str,
    ids: list[str],
    store: Callable[[], object],
) -> Response:
    try:
        fresh = do_once(garden, ids, store)
    except HeapwrightError as problem:
        form.wrong(WHOLE_FORM, problem)
        return _page(request, garden, form, which, status=faults.status_of(problem))
    asked = {"entry": ids[-1]} if fresh else {"again": "1"}
    return RedirectResponse(f"/setup?{urlencode(asked)}", status_code=303)


def _page(
    request: Request,
    garden: Garden,
    form: Filled | None = None,
    which: str = "",
    *,
    status: int = 200,
    entry: str = "",
    message: str = "",
) -> Response:
    state = garden.state()
    online, units = default_settings(), UnitSystem(state.settings.units)
    return pages.render(
        request,
        "setup.html",
        status_code=status,
        form_of=forms_on_page(form, which),
        wrong_form=form if form is not None else Filled(),
        stored=just_stored(garden, entry),
        message=message,
        bins=[(one, setup_form.shown_sizes(one, units)) for one in _in_order(garden)],
        standing={one.bin_key: one.name for one in state.batches.values()},
        out_of_use=bins_out_of_use(garden),
        containers=sorted(state.containers.values()),
        climates=climate_choices(),
        zones=setup_form.zone_names(),
        hose_seconds=setup_form.shown_seconds(state.settings),
        pail=water_form.pail(state.settings),
        languages=languages(),
        probe_depth=format_length(state.settings.probe_depth_m, units),
        walls=[str(wall) for wall in Wall],
        covers=[str(cover) for cover in Cover],
        grounds=[str(ground) for ground in Ground],
        usual_side="36 in" if state.settings.units == "us" else "90 cm",
        service=urlsplit(online.endpoint).hostname,
        service_credit=online.credit,
        fresh_id=new_entry_id(),
    )


def _in_order(garden: Garden) -> list[BinState]:
    return sorted(garden.state().bins_in_use.values(), key=lambda one: (one.order, one.key))
