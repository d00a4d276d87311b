"""The Build pages: which bin, what to take, the layers, and what was built.

Knows the way between the pages and what each shows. Knows no recipe.
"""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Path, Request
from starlette.responses import RedirectResponse, Response

from heapwright.errors import HeapwrightError, NoRecipe
from heapwright.heap.types import Cover
from heapwright.journal.entries import new_entry_id
from heapwright.materials.hazards import conditions
from heapwright.materials.types import Permission
from heapwright.mixing.words import low
from heapwright.sentences import Sentence
from heapwright.web import build_form, build_words, faults, pages, water_form
from heapwright.web.bands import band_pictures
from heapwright.web.forms import WHOLE_FORM, Filled, FormHere, QueryHere
from heapwright.web.here import GardenHere, now_in, zone_of
from heapwright.web.layers_picture import draw_layers
from heapwright.web.moments import form_value, read_moment
from heapwright.web.roles import for_keepers, for_readers
from heapwright.web.sheet_size import sheet_size
from heapwright.web.storing import do_once
from heapwright.wording import dated, worded
from heapwright.workshop.answers import BuildAnswer, StockLine
from heapwright.workshop.build import plan_build, record_build
from heapwright.workshop.garden import Garden
from heapwright.workshop.lots import material_of
from heapwright.workshop.stock import stock

router = APIRouter(include_in_schema=False)
_BinKey = Annotated[str, Path(max_length=80)]


@router.get("/build")
@for_keepers
def choose_bin(request: Request, garden: GardenHere, bin: str = "") -> Response:
    """Show which bin may be built in; an address that names one leads on to it."""
    state = garden.state()
    if bin in state.bins_in_use:
        return RedirectResponse(f"/build/{bin}", status_code=303)
    bins = sorted(state.bins_in_use.values(), key=lambda one: (one.order, one.key))
    standing = {one.key: state.batches[one.batch_key].name for one in bins if one.batch_key}
    has_stock = any(lot.left >= 1 for lot in state.lots.values())
    return pages.render(
        request, "build_choose.html", bins=bins, standing=standing, has_stock=has_stock
    )


@router.get("/build/{key}")
@for_keepers
def show_build(request: Request, garden: GardenHere, key: _BinKey, wanted: QueryHere) -> Response:
    """Show what to take from what is on hand, and the layers."""
    garden.bin(key)
    return _page(request, garden, key, wanted, Filled())


@router.post("/build/{key}")
@for_keepers
def keep_build(request: Request, garden: GardenHere, key: _BinKey, form: FormHere) -> Response:
    """Write down the heap as it was built."""
    garden.bin(key)
    at = form.read("at", "When", lambda text: read_moment(text, zone_of(garden), garden.now()))
    built = build_form.read_built(form, garden.state())
    if built is None or form.problems:
        return _page(request, garden, key, form, form, status=422)
    entry_id = form.id_for("build")
    try:
        fresh = do_once(garden, [entry_id], lambda: _record(garden, key, built, at, entry_id))
    except HeapwrightError as problem:
        form.wrong(WHOLE_FORM, problem)
        return _page(request, garden, key, form, form, status=faults.status_of(problem))
    asked = {"bin": key, "entry": entry_id} | ({} if fresh else {"again": "1"})
    return RedirectResponse(f"/log/saved?{urlencode(asked)}", status_code=303)


@router.get("/build/{key}/sheet")
@for_readers
def show_sheet(request: Request, garden: GardenHere, key: _BinKey, wanted: QueryHere) -> Response:
    """Show the build sheet alone, to print on one page."""
    answer = _plan(garden, key, wanted)
    picture = draw_layers(answer.sheet, answer.bin, garden.reader())
    taken = build_words.take(answer.recipe)
    return pages.render(
        request,
        "build_sheet.html",
        answer=answer,
        picture=picture,
        layer_words=build_words.for_layers(),
        take=taken,
        size=sheet_size(answer.sheet, picture, taken),
        back=_address(key, wanted),
        made=now_in(garden),
    )


def _record(
    garden: Garden, key: str, built: build_form.Built, at: datetime | None, entry_id: str
) -> Any:
    return record_build(
        garden,
        key,
        built.counts,
        built.water_kg,
        built.name,
        at=at,
        entry_id=entry_id,
        cover=built.cover,
        origin="page",
    )


def _plan(garden: Garden, key: str, wanted: Filled) -> BuildAnswer:
    return plan_build(
        garden,
        key,
        keep_back=build_form.read_keep_back(wanted, garden.state()),
        use_conditional=_used(garden, wanted),
    )


def _used(garden: Garden, wanted: Filled) -> frozenset[str]:
    return frozenset(key for key in wanted.every("use") if key in garden.state().lots)


def _address(key: str, wanted: Filled, more: str = "") -> str:
    """Return the address of this plan: the bin, what is kept back, what is used."""
    asked = _asked(wanted)
    return f"/build/{key}{more}" + (f"?{urlencode(asked)}" if asked else "")


def _asked(wanted: Filled) -> list[tuple[str, str]]:
    return [(n, t) for n, t in wanted.given if n == "use" or n.startswith(build_form.KEEP)]


def _page(
    request: Request,
    garden: Garden,
    key: str,
    wanted: Filled,
    form: Filled,
    *,
    status: int = 200,
) -> Response:
    state = garden.state()
    answer, refusal = _try_plan(garden, key, wanted)
    plan = {} if answer is None else _planned(garden, answer)
    return pages.render(
        request,
        "build.html",
        status_code=status,
        bin=garden.bin(key),
        standing=_standing(garden, key),
        wanted=wanted,
        form=form,
        answer=answer,
        refusal=refusal,
        lots=stock(garden),
        left_out=_left_out(garden, answer, wanted),
        covers=[str(cover) for cover in Cover],
        water_units=water_form.water_units(state.settings),
        pail=water_form.pail(state.settings),
        latest=form_value(now_in(garden), zone_of(garden)),
        fresh_id=new_entry_id(),
        sheet_address=_address(key, wanted, "/sheet"),
        wanted_names={name for name, _ in wanted.given},
        kept_wishes=_asked(wanted),
        told=build_words.counted,
        low=low,
        layer_words=build_words.for_layers(),
        **plan,
    )


def _try_plan(
    garden: Garden, key: str, wanted: Filled
) -> tuple[BuildAnswer | None, HeapwrightError | None]:
    try:
        return _plan(garden, key, wanted), None
    except HeapwrightError as refusal:
        if not isinstance(refusal, NoRecipe) and faults.status_of(refusal) != 422:
            raise
        return None, refusal


def _planned(garden: Garden, answer: BuildAnswer) -> dict[str, Any]:
    """Return what the page shows of a plan."""
    bin_state, reader = answer.bin, garden.reader()
    recipe = answer.recipe
    return {
        "bands": band_pictures(recipe.mixture, answer.wishes, reader),
        "picture": draw_layers(answer.sheet, bin_state, reader),
        "taken": {line.lot.key: line.count for line in recipe.lines},
        "usable": _usable(garden, answer),
        "heap_name": _heap_name(garden),
        **_water_said(garden, recipe.water_kg),
        "lines": [
            (line, build_words.counted(line.count, line.lot.container_name))
            for line in recipe.lines
        ],
    }


def _usable(garden: Garden, answer: BuildAnswer) -> set[str]:
    """Return the lots that may have gone in: all but those left out."""
    left_out = {lot.key for lot, _ in answer.left_out}
    return {key for key in garden.state().lots if key not in left_out}


def _heap_name(garden: Garden) -> str:
    today = now_in(garden)
    # Told at once: it becomes the heap's name in the journal.
    return garden.reader().told(worded("Heap of {day}", day=dated(today, "d MMMM")))


def _water_said(garden: Garden, water_kg: float) -> dict[str, Any]:
    """Return the recipe's water in gallons or litres for the form, and in quarters of a pail."""
    units = {unit.key: unit for unit in water_form.water_units(garden.state().settings)}
    unit = next(one for key, one in units.items() if key != "pail")
    return {
        "water_value": f"{water_kg / unit.each_kg:.1f}",
        "water_unit": unit.key,
        "pails": max(0.25, round(4 * water_kg / units["pail"].each_kg) / 4),
    }


def _standing(garden: Garden, key: str) -> str:
    batch = garden.batch_in(key)
    return "" if batch is None else batch.name


def _left_out(garden: Garden, answer: BuildAnswer | None, wanted: Filled) -> list[dict[str, Any]]:
    """Return the lots that stay out, with the reason and, if there is one, the condition."""
    reasons: dict[str, Sentence] = {}
    if answer is not None:
        reasons = {lot.key: reason for lot, reason in answer.left_out}
    return [
        _held_back(line, reasons.get(line.lot.key), line.lot.key in wanted.every("use"))
        for line in stock(garden)
        if line.refused
    ]


def _held_back(line: StockLine, reason: Sentence | None, is_used: bool) -> dict[str, Any]:
    hazard = material_of(line.lot).hazard
    condition = None
    if hazard is not None and hazard.permission is Permission.CONDITIONAL:
        condition = conditions().get(hazard.condition)
    return {
        "lot": line.lot,
        "name": line.material_name,
        "why": reason or line.refused,
        "condition": condition,
        "is_used": is_used,
    }
