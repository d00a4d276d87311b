"""What is printed and hung up: the bins' cards, the paper log, and copying from paper.

Knows which sheets go on a page and the address that stands on them. Knows nothing of what a code
or a row means.
"""

from __future__ import annotations

from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Path, Request
from starlette.responses import RedirectResponse, Response

from heapwright.errors import HeapwrightError
from heapwright.journal.entries import new_entry_id
from heapwright.journal.forms import SMELLS, SQUEEZES
from heapwright.quantities import UnitSystem
from heapwright.web import copy_form, faults, pages, paper, scan_code, task_cautions, water_form
from heapwright.web.forms import WHOLE_FORM, Filled, FormHere, QueryHere
from heapwright.web.here import GardenHere, now_in, zone_of
from heapwright.web.log_form import temperature_unit
from heapwright.web.moments import form_value
from heapwright.web.roles import for_helpers, for_readers
from heapwright.web.storing import store_once
from heapwright.workshop.bin_card import BinCard, bin_card, bin_cards
from heapwright.workshop.garden import Garden

router = APIRouter(include_in_schema=False)
_BinKey = Annotated[str, Path(max_length=80)]


@router.get("/bins/{key}/card")
@for_readers
def show_card(request: Request, garden: GardenHere, key: _BinKey, asked: QueryHere) -> Response:
    """Show the card that hangs at one bin."""
    return _cards(request, (bin_card(garden, key),), asked)


@router.get("/cards")
@for_readers
def show_cards(request: Request, garden: GardenHere, asked: QueryHere) -> Response:
    """Show the cards of all bins, to print in one go."""
    return _cards(request, bin_cards(garden), asked)


@router.get("/paper")
@for_readers
def show_paper(request: Request, garden: GardenHere, asked: QueryHere) -> Response:
    """Show the paper log of a month, for one bin or all."""
    address = _address(request, asked)
    today = now_in(garden).date()
    month = asked.read("month", "Month", lambda text: paper.month_of(text, today))
    bins = garden.state().bins_in_use
    chosen = garden.bin(asked.text("bin")).key if asked.text("bin") else ""
    shown = tuple(one for key, one in bins.items() if chosen in ("", key))
    month = month or paper.month_of("", today)
    return pages.render(
        request,
        "paper.html",
        status_code=422 if asked.problems else 200,
        form=asked,
        sheets=() if asked.problems else paper.sheets(shown, month),
        codes=_codes(address, [one.key for one in shown]),
        month=month,
        bins=tuple(bins.values()),
        chosen=chosen,
        squeezes=SQUEEZES,
        smells=SMELLS,
        **_address_told(request, address),
    )


@router.get("/paper/copy")
@for_helpers
def show_copy(request: Request, garden: GardenHere, bin: str = "") -> Response:
    """Show the rows to copy a paper log into."""
    bins = garden.state().bins_in_use
    return _copy_page(request, garden, Filled(), chosen=bin if bin in bins else "")


@router.post("/paper/copy")
@for_helpers
def keep_copy(request: Request, garden: GardenHere, form: FormHere) -> Response:
    """Store the copied rows, all or none; a row sent twice is stored once."""
    rows = copy_form.read_rows(form, garden)
    if form.problems:
        return _copy_page(request, garden, form, status=422)
    entries = copy_form.entries_of(form, garden, rows)
    try:
        fresh = store_once(garden, entries)
    except HeapwrightError as problem:
        form.wrong(WHOLE_FORM, problem)
        return _copy_page(request, garden, form, status=faults.status_of(problem))
    asked = [("bin", form.text("bin")), *(("entry", one.id) for one in entries)]
    asked += [] if fresh else [("again", "1")]
    return RedirectResponse(f"/log/saved?{urlencode(asked)}", status_code=303)


def _cards(request: Request, cards: tuple[BinCard, ...], asked: Filled) -> Response:
    address = _address(request, asked)
    return pages.render(
        request,
        "card.html",
        status_code=422 if asked.problems else 200,
        form=asked,
        cards=cards,
        codes=_codes(address, [one.bin.key for one in cards]),
        all_bins=len(cards) != 1,
        **_address_told(request, address),
    )


def _codes(address: str, keys: list[str]) -> dict[str, scan_code.ScanCode]:
    return {key: scan_code.scan_code(scan_code.bin_link(address, key)) for key in keys}


def _address(request: Request, asked: Filled) -> str:
    """Return the address the codes lead to: the one asked for, else the one this page came by."""
    own = str(request.base_url).rstrip("/")
    return asked.read("address", "Address", scan_code.house_address) or own


def _address_told(request: Request, address: str) -> dict[str, Any]:
    return {
        "address": address,
        "only_here": scan_code.is_only_here(address),
        "here_path": request.url.path,
    }


def _copy_page(
    request: Request, garden: Garden, form: Filled, *, chosen: str = "", status: int = 200
) -> Response:
    state = garden.state()
    return pages.render(
        request,
        "copy_paper.html",
        status_code=status,
        form=form,
        bins=tuple(state.bins_in_use.values()),
        chosen=chosen or form.text("bin"),
        rows=range(copy_form.ROWS),
        asks={number for number in range(copy_form.ROWS) if copy_form.question(form, number)},
        unit=str(temperature_unit(form, state)),
        is_us=UnitSystem(state.settings.units) is UnitSystem.US,
        squeezes=SQUEEZES,
        smells=SMELLS,
        water_units=water_form.water_units(state.settings),
        latest=form_value(now_in(garden), zone_of(garden))[:10],
        cautions=task_cautions.for_log(),
        fresh_id=new_entry_id(),
    )
