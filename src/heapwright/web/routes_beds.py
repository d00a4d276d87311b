"""The page of beds: what each wants and gets; entering, altering, dropping one; what was spread.

Knows the way from the forms to the beds. Knows no depth and no caution.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated

from fastapi import APIRouter, Path, Query, Request
from starlette.responses import Response

from heapwright.garden.cautions import EXTRACTS, judge_salts
from heapwright.journal.entries import new_entry_id
from heapwright.journal.forms_year import BED_USES, PHOSPHORUS, SPREADS
from heapwright.quantities import UnitSystem, parse_number
from heapwright.sentences import Sentence
from heapwright.web import bed_form, pages
from heapwright.web.bed_picture import bed_picture
from heapwright.web.beds_sources import depth_rows
from heapwright.web.forms import Filled, FormHere, QueryHere
from heapwright.web.here import GardenHere, now_in, zone_of
from heapwright.web.moments import form_value
from heapwright.web.page_forms import forms_on_page, just_stored, store_or_show
from heapwright.web.roles import for_helpers, for_keepers, for_readers
from heapwright.wording import dated
from heapwright.workshop.beds import beds
from heapwright.workshop.beds_log import bed_of, drop_bed, save_bed, spread_on
from heapwright.workshop.beds_words import range_of
from heapwright.workshop.garden import Garden

router = APIRouter(include_in_schema=False)
_Key = Annotated[str, Path(max_length=80)]
_Entry = Annotated[str, Query(max_length=32)]
_NEW = "new-bed"
_OTHER_EXTRACTS = ("1:5", "unknown")


@router.get("/beds")
@for_readers
def show_beds(
    request: Request, garden: GardenHere, asked: QueryHere, entry: _Entry = ""
) -> Response:
    """Show what the beds want and get; and what a laboratory's number of salts means."""
    return _page(request, garden, entry=entry, salts=_salts(asked), asked=asked)


@router.post("/beds")
@for_keepers
def enter_bed(request: Request, garden: GardenHere, form: FormHere) -> Response:
    """Enter a bed."""
    said = bed_form.read_bed(form, garden.state())
    if said is None:
        return _page(request, garden, form, _NEW, status=422)
    entry_id = form.id_for("bed")
    return _stored(
        request,
        garden,
        form,
        _NEW,
        entry_id,
        lambda: save_bed(garden, **said, origin="page", entry_id=entry_id),
    )


@router.post("/beds/{key}")
@for_keepers
def alter_bed(request: Request, garden: GardenHere, key: _Key, form: FormHere) -> Response:
    """Alter a bed."""
    bed_of(garden, key)
    said = bed_form.read_bed(form, garden.state())
    if said is None:
        return _page(request, garden, form, f"alter-{key}", status=422)
    entry_id = form.id_for("bed")
    return _stored(
        request,
        garden,
        form,
        f"alter-{key}",
        entry_id,
        lambda: save_bed(garden, **said, key=key, origin="page", entry_id=entry_id),
    )


@router.post("/beds/{key}/gone")
@for_keepers
def drop(request: Request, garden: GardenHere, key: _Key, form: FormHere) -> Response:
    """Take a bed off the list; what was spread on it stays."""
    entry_id = form.id_for("gone")
    return _stored(
        request,
        garden,
        form,
        f"gone-{key}",
        entry_id,
        lambda: drop_bed(garden, key, origin="page", entry_id=entry_id),
    )


@router.post("/beds/{key}/spread")
@for_helpers
def spread(request: Request, garden: GardenHere, key: _Key, form: FormHere) -> Response:
    """Write down what was spread on a bed."""
    bed_of(garden, key)
    said = bed_form.read_spread(form, garden.state(), zone_of(garden), garden.now())
    if said is None:
        return _page(request, garden, form, f"spread-{key}", status=422)
    entry_id = form.id_for("spread")
    return _stored(
        request,
        garden,
        form,
        f"spread-{key}",
        entry_id,
        lambda: spread_on(
            garden,
            key,
            said.volume_m3,
            said.what,
            at=said.at,
            note=form.text("note")[:1000],
            origin="page",
            entry_id=entry_id,
        ),
    )


def _salts(asked: Filled) -> Sentence | None:
    """Return what the number asked about means; what is wrong with it is held in the form."""
    extract = asked.text("extract") or "unknown"
    return asked.read(
        "salts",
        "Conductivity",
        lambda text: judge_salts(parse_number(text, what="Conductivity"), extract),
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

    return store_or_show(garden, form, entry_id, store, back="/beds", show=show)


def _page(
    request: Request,
    garden: Garden,
    form: Filled | None = None,
    which: str = "",
    *,
    status: int = 200,
    entry: str = "",
    salts: Sentence | None = None,
    asked: Filled | None = None,
) -> Response:
    state, answer = garden.state(), beds(garden)
    units = UnitSystem(state.settings.units)
    query = asked if asked is not None and asked.sent("salts") else Filled()
    query.scope = "salts-"

    return pages.render(
        request,
        "beds.html",
        status_code=status,
        form_of=forms_on_page(form, which),
        wrong_form=form if form is not None else Filled(),
        which=which,
        stored=just_stored(garden, entry),
        answer=answer,
        expected=[
            (one, dated(one.on, "d MMMM y"), range_of(one.volume_m3)) for one in answer.expected
        ],
        cards=[(one, bed_picture(one), bed_form.shown(one.bed, units)) for one in answer.lines],
        uses=BED_USES,
        phosphorus=PHOSPHORUS,
        spreads=SPREADS,
        extracts=(*EXTRACTS, *_OTHER_EXTRACTS),
        salts=salts,
        salts_form=query,
        depth_rows=depth_rows(),
        latest=form_value(now_in(garden), zone_of(garden)),
        fresh_id=new_entry_id(),
    )
