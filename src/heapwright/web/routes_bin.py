"""One bin's page: its job, the forecast chart, the heap cut open, and the story of the batch.

Knows which pictures go on the page. Knows nothing of how they come about.
"""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Path, Request
from starlette.responses import Response

from heapwright.sentences import Reader
from heapwright.web import (
    chart,
    course,
    done_link,
    gauge,
    heat,
    heat_proof,
    here,
    pages,
    scales,
    told,
    whatif,
)
from heapwright.web.here import GardenHere
from heapwright.web.roles import for_readers
from heapwright.workshop.answers import BinAnswer
from heapwright.workshop.bins import bin_answer
from heapwright.workshop.course import heap_course
from heapwright.workshop.garden import Garden
from heapwright.workshop.heat_proof import heat_proof as proof_of
from heapwright.workshop.history import settings_table
from heapwright.workshop.photos import photos_in
from heapwright.workshop.probe_series import left_out
from heapwright.workshop.ready import ready as ready_of
from heapwright.workshop.ready_answer import Ready
from heapwright.workshop.taught import taught as taught_of
from heapwright.workshop.whatif import what_if_in

router = APIRouter(include_in_schema=False)


@router.get("/bins/{key}")
@for_readers
def show_bin(
    request: Request, garden: GardenHere, key: Annotated[str, Path(max_length=80)]
) -> Response:
    """Show one bin."""
    answer = bin_answer(garden, key)
    reader = garden.reader()
    return pages.render(
        request,
        "bin.html",
        answer=answer,
        shown=answer.today,
        done=done_link.for_bin(garden, answer.today),
        photos=photos_in(garden, key),
        left_out=left_out(garden.batch_in(key)),
        authors=told.authors(garden),
        letters=chart.LETTERS,
        told=chart.letters_told(answer.events),
        scale=heat.scale_marks(reader.units),
        heat_line_c=heat_line_c(answer),
        water_scale=scales.water_marks(),
        cut=_cut(garden, answer, reader),
        damp=_damp(answer),
        hot=None if answer.today.batch_key is None else heat_proof.heat_page(proof_of(garden, key)),
        ready=_ready(garden, answer),
        what_if=_what_if(garden, answer),
        taught=None if answer.today.batch_key is None else taught_of(garden, key),
        **_chart(garden, answer, reader),
    )


def _ready(garden: Garden, answer: BinAnswer) -> Ready | None:
    """Return whether what lies in the bin is finished; None for an empty one."""
    return None if answer.today.batch_key is None else ready_of(garden, answer.today.bin.key)


def heat_line_c(answer: BinAnswer) -> float:
    """Return the temperature the heat share counts from; the line on both pictures. [°C]"""
    if answer.heat_share is not None:
        return answer.heat_share.temperature_c
    return settings_table()["hot_share_c"]


def _chart(garden: Garden, answer: BinAnswer, reader: Reader) -> dict[str, Any]:
    forecast = answer.today.forecast
    if forecast is None:
        return {"chart": None, "rows": [], "curve": None}
    zone = here.zone_of(garden)
    return {
        "chart": chart.chart_data(answer, forecast, heat_line_c(answer), reader, zone),
        "rows": chart.day_rows(answer, forecast, zone),
        "curve": chart.curve_told(answer, forecast),
    }


def _cut(garden: Garden, answer: BinAnswer, reader: Reader) -> course.CutPicture | None:
    found = heap_course(garden, answer.today.bin.key)
    if found is None:
        return None
    return course.cut_picture(found, heat_line_c(answer), reader, here.zone_of(garden))


def _what_if(garden: Garden, answer: BinAnswer) -> whatif.WhatIfPage | None:
    """Return the comparison's layout; None when the heap is not modelled."""
    if answer.today.forecast is None:
        return None
    return whatif.what_if_page(what_if_in(garden, answer.today.bin.key))


def _damp(answer: BinAnswer) -> dict[str, Any] | None:
    if answer.moisture is None:
        return None
    return {
        "word": gauge.damp_word(answer.moisture),
        "range": answer.moisture,
        "marks": gauge.damp_marks(),
    }
