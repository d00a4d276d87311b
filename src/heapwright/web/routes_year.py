"""The pages of the year: its plan, a person's days, what if, the wall sheet, the calendar.

Knows which answer goes on which page. Knows nothing of how a plan is made.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Request
from starlette.responses import Response

from heapwright.journal.entries import new_entry_id
from heapwright.quantities import UnitSystem
from heapwright.season.rotation_weights import usual_work_rates
from heapwright.web import calendar_door, pages, year_form
from heapwright.web.calendar_door import CalendarHere
from heapwright.web.forms import Filled, FormHere
from heapwright.web.guards import THIS_MACHINE
from heapwright.web.here import GardenHere, ReaderHere
from heapwright.web.page_forms import forms_on_page, just_stored, store_or_show
from heapwright.web.roles import for_anybody, for_keepers, for_readers
from heapwright.web.year_curves import curve_rows, curves_picture
from heapwright.web.year_picture import year_picture
from heapwright.wording import dated
from heapwright.workshop.garden import Garden
from heapwright.workshop.year import year
from heapwright.workshop.year_answer import YearAnswer
from heapwright.workshop.year_calendar import calendar_file
from heapwright.workshop.year_jobs import CAUTIONS
from heapwright.workshop.year_reasons import year_reasons
from heapwright.workshop.year_what_if import year_what_if
from heapwright.workshop.year_wishes import (
    aways,
    be_there,
    go_away,
    loads_per_week,
    loads_to_fill,
    save_wishes,
)
from heapwright.workshop.year_words import loads_shown, work_told

router = APIRouter(include_in_schema=False)
_Entry = Annotated[str, Query(max_length=32)]
_Key = Annotated[str, Path(max_length=64)]
_CALENDAR = "text/calendar; charset=utf-8"
#: So many jobs stand at the top of the page; all of them in its table.
_NEAR = 6


def on(day: date) -> str:
    """Return a day of the calendar in words."""
    return dated(day, "EEE d MMMM y")


@router.get("/year")
@for_readers
def show_year(
    request: Request, garden: GardenHere, reader: ReaderHere, entry: _Entry = ""
) -> Response:
    """Show the year's plan."""
    answer = _year_or_none(garden)
    drawn: dict[str, Any] = {}
    if answer is not None:
        drawn = {
            "picture": year_picture(answer),
            "curves": curves_picture(answer, reader),
            "rows": curve_rows(answer, reader),
        }
    return pages.render(
        request,
        "year.html",
        answer=answer,
        reasons=() if answer is None else year_reasons(garden),
        stored=just_stored(garden, entry),
        near=_NEAR,
        on=on,
        loads=loads_shown,
        work_told=work_told,
        sureness=garden.state().year.wishes.sureness,
        **drawn,
    )


def _year_or_none(garden: Garden) -> YearAnswer | None:
    return year(garden) if garden.state().bins_in_use else None


@router.get("/year/sheet")
@for_readers
def show_sheet(request: Request, garden: GardenHere) -> Response:
    """Show the year as a sheet for the wall."""
    answer = year(garden)
    kinds = dict.fromkeys(one.kind for one in answer.jobs)
    cautions = dict.fromkeys(caution.template for kind in kinds for caution in CAUTIONS[kind])
    known = {one.template: one for kind in kinds for one in CAUTIONS[kind]}
    return pages.render(
        request,
        "year_sheet.html",
        answer=answer,
        picture=year_picture(answer),
        cautions=[known[template] for template in cautions],
        on=on,
        short=lambda day: dated(day, "d MMM"),
    )


@router.get("/year/what-if")
@for_readers
def show_what_if(request: Request, garden: GardenHere) -> Response:
    """Show what one more bin, shredding or a helper would do to the year."""
    return pages.render(request, "year_what_if.html", found=year_what_if(garden))


@router.get("/year/wishes")
@for_readers
def show_wishes(request: Request, garden: GardenHere, entry: _Entry = "") -> Response:
    """Show how this person works, and when they are away."""
    return _wishes_page(request, garden, entry=entry)


@router.post("/year/wishes")
@for_keepers
def keep_wishes(request: Request, garden: GardenHere, form: FormHere) -> Response:
    """Keep how this person works."""
    said = year_form.read_wishes(form, UnitSystem(garden.state().settings.units))
    if form.problems:
        return _wishes_page(request, garden, form, "wishes", status=422)
    entry_id = form.id_for("wishes")
    return _kept(
        request,
        garden,
        form,
        "wishes",
        entry_id,
        lambda: save_wishes(garden, said, origin="page", entry_id=entry_id),
    )


@router.post("/year/away")
@for_keepers
def keep_away(request: Request, garden: GardenHere, form: FormHere) -> Response:
    """Keep days away."""
    said = year_form.read_away(form)
    if said is None:
        return _wishes_page(request, garden, form, "away", status=422)
    first, last, why = said
    entry_id = form.id_for("away")
    return _kept(
        request,
        garden,
        form,
        "away",
        entry_id,
        lambda: go_away(garden, first, last, origin="page", why=why, entry_id=entry_id),
    )


@router.post("/year/away/{key}/gone")
@for_keepers
def drop_away(request: Request, garden: GardenHere, key: _Key, form: FormHere) -> Response:
    """Drop days away."""
    entry_id = form.id_for("away_gone")
    return _kept(
        request,
        garden,
        form,
        f"gone-{key}",
        entry_id,
        lambda: be_there(garden, key, origin="page", entry_id=entry_id),
    )


def _kept(
    request: Request,
    garden: Garden,
    form: Filled,
    which: str,
    entry_id: str,
    store: Callable[[], object],
) -> Response:
    def show(status: int) -> Response:
        return _wishes_page(request, garden, form, which, status=status)

    return store_or_show(garden, form, entry_id, store, back="/year/wishes", show=show)


def _wishes_page(
    request: Request,
    garden: Garden,
    form: Filled | None = None,
    which: str = "",
    *,
    status: int = 200,
    entry: str = "",
) -> Response:
    state = garden.state()
    system = UnitSystem(state.settings.units)

    return pages.render(
        request,
        "year_wishes.html",
        status_code=status,
        form_of=forms_on_page(form, which),
        wrong_form=form if form is not None else Filled(),
        stored=just_stored(garden, entry),
        wishes=state.year.wishes,
        wishes_shown=year_form.shown(state.year.wishes, loads_per_week(garden), system),
        water_unit=year_form.price_units(system)[0],
        compost_unit=year_form.price_units(system)[1],
        aways=aways(garden),
        load_m3=usual_work_rates().barrow_m3,
        largest_loads=f"{loads_to_fill(garden):.0f}",
        on=on,
        fresh_id=new_entry_id(),
    )


@router.get("/year/calendar")
@for_readers
def show_calendar(request: Request, garden: GardenHere) -> Response:
    """Show how a phone's calendar comes by the jobs."""
    return _calendar_page(request, "")


@router.post("/year/calendar")
@for_keepers
def make_calendar(request: Request, garden: GardenHere) -> Response:
    """Make the address of the calendar and show it, this once."""
    token = calendar_door.renew(garden)
    house = f"{request.url.scheme}://{request.url.netloc}"
    answer = _calendar_page(request, f"{house}/calendar/{token}.ics")
    answer.headers["Cache-Control"] = "no-store"
    return answer


def _calendar_page(request: Request, address: str) -> Response:
    return pages.render(
        request,
        "year_calendar.html",
        address=address,
        is_this_machine=request.url.hostname in THIS_MACHINE,
    )


@router.get("/year/jobs.ics")
@for_readers
def give_jobs(garden: GardenHere, reader: ReaderHere) -> Response:
    """Give the jobs as a calendar file, once."""
    return Response(
        calendar_file(garden, year(garden), reader),
        media_type=_CALENDAR,
        headers={"Content-Disposition": 'attachment; filename="heapwright-jobs.ics"'},
    )


@router.api_route("/calendar/{token}.ics", methods=["GET", "HEAD"])  # calendars ask so first
@for_anybody
def give_calendar(garden: CalendarHere) -> Response:
    """Give the jobs to a calendar that knows the secret address."""
    answer = calendar_file(garden, year(garden), garden.reader())
    return Response(answer, media_type=_CALENDAR, headers={"Cache-Control": "private, no-cache"})
