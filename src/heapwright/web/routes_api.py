"""The programs' interface: the same answers as the pages, as JSON; and entries in batches.

Knows which workshop function answers which address. The documents are in `api_models`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Path, Query
from starlette.responses import Response

from heapwright.errors import HeapwrightError, ServiceProblem, StoreProblem
from heapwright.journal.entries import Entry
from heapwright.web import api_compare_models as compare_models
from heapwright.web import api_models as models
from heapwright.web import api_ready_models as ready_models
from heapwright.web import api_timeline_models as timeline_models
from heapwright.web import api_whatif_models as whatif_models
from heapwright.web import faults, words
from heapwright.web.here import GardenHere, now_in
from heapwright.web.roles import for_helpers, for_keepers, for_owners, for_readers
from heapwright.workshop import bins
from heapwright.workshop.compare import compare
from heapwright.workshop.compare_table import comparison_csv
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log_many
from heapwright.workshop.plain import to_plain
from heapwright.workshop.ready import ready
from heapwright.workshop.taught import taught
from heapwright.workshop.timeline import MOST_WEEKS, USUAL_WEEKS, timeline
from heapwright.workshop.today import today
from heapwright.workshop.transfer import export_journal, export_readings_csv
from heapwright.workshop.whatif import what_if_in

_Responses = dict[int | str, dict[str, Any]]


def _problems(*statuses: int) -> _Responses:
    told: Mapping[int, str] = {
        403: "Sent by a page of another site",
        404: "There is no such bin, or nothing in it",
        409: "The name is taken by something different",
        413: "Too much at once",
        422: "Something in it cannot be right",
        503: "The journal cannot be reached just now; nothing is lost, send again",
    }
    return {status: {"model": models.Problem, "description": told[status]} for status in statuses}


router = APIRouter(prefix="/api", responses=_problems(503))
BinKey = Annotated[str, Path(max_length=80, description="The bin's key")]
HeapKeys = Annotated[list[str] | None, Query(max_length=100, description="Keys of heaps")]
Days = Annotated[int | None, Query(ge=1, le=14, description="Days to look ahead")]


@router.get("/today", response_model=models.TodayModel)
@for_readers
def api_today(garden: GardenHere) -> Any:
    """Return what to do today at every bin."""
    return to_plain(today(garden), garden.reader())


@router.get("/timeline", response_model=timeline_models.TimelineModel, responses=_problems(422))
@for_readers
def api_timeline(
    garden: GardenHere, weeks: Annotated[int, Query(ge=1, le=MOST_WEEKS)] = USUAL_WEEKS
) -> Any:
    """Return every heap through the last weeks: where it lay, how hot it was, when it is ready."""
    return to_plain(timeline(garden, weeks), garden.reader())


@router.get(
    "/compare", response_model=compare_models.ComparisonModel, responses=_problems(404, 422)
)
@for_readers
def api_compare(garden: GardenHere, heap: HeapKeys = None) -> Any:
    """Return heaps side by side, and what they say together; without keys the latest."""
    return to_plain(compare(garden, heap or ()), garden.reader())


@router.get(
    "/compare.csv",
    response_class=Response,
    responses={200: {"content": {"text/csv": {}}}, **_problems(404, 422)},
)
@for_readers
def api_compare_csv(garden: GardenHere, heap: HeapKeys = None) -> Response:
    """Return the same heaps as a table in SI units, a row each."""
    return _file(garden, comparison_csv(compare(garden, heap or ())), "heaps", "csv", "text/csv")


@router.get("/bins", response_model=list[models.BinModel])
@for_readers
def api_bins(garden: GardenHere) -> Any:
    """Return the bins in use in their order."""
    found = sorted(garden.state().bins_in_use.values(), key=lambda one: (one.order, one.key))
    return to_plain(found, garden.reader())


@router.get("/bins/{key}", response_model=models.BinAnswerModel, responses=_problems(404, 422))
@for_readers
def api_bin(garden: GardenHere, key: BinKey, days: Days = None) -> Any:
    """Return everything about one bin."""
    return to_plain(bins.bin_answer(garden, key, days), garden.reader())


@router.get(
    "/bins/{key}/forecast", response_model=models.ForecastModel, responses=_problems(404, 422)
)
@for_readers
def api_forecast(garden: GardenHere, key: BinKey, days: Days = None) -> Any:
    """Return the temperature at the thermometer's tip, so far and for some days ahead."""
    return to_plain(bins.forecast(garden, key, days), garden.reader())


@router.get(
    "/bins/{key}/ready", response_model=ready_models.ReadyModel, responses=_problems(404, 422)
)
@for_readers
def api_ready(garden: GardenHere, key: BinKey) -> Any:
    """Return whether the heap in a bin is finished, for what, and when."""
    return to_plain(ready(garden, key), garden.reader())


@router.get(
    "/bins/{key}/taught",
    response_model=models.TaughtModel | None,
    responses=_problems(404, 422),
)
@for_readers
def api_taught(garden: GardenHere, key: BinKey) -> Any:
    """Return what earlier heaps taught about the one in a bin; null when none came before."""
    return to_plain(taught(garden, key), garden.reader())


@router.get(
    "/bins/{key}/whatif", response_model=whatif_models.WhatIfModel, responses=_problems(404, 422)
)
@for_readers
def api_whatif(garden: GardenHere, key: BinKey) -> Any:
    """Return what could be done with the heap in a bin, and what would come of it."""
    return to_plain(what_if_in(garden, key), garden.reader())


@router.post("/entries", responses=_problems(403, 413, 422))
@for_helpers
def api_entries(garden: GardenHere, sent: models.EntriesIn) -> models.EntriesOut:
    """Store entries, each once; one that cannot be is told and does not hold up the others.

    Ids are made where the entry is written, so a batch may be sent again as often as needed.
    """
    outcome = models.EntriesOut(stored=[], already_there=[], refused=[], warnings=[])
    for entry in sent.entries:
        _store(garden, _entry(garden, entry), outcome)
    return outcome


@router.get(
    "/export/journal.json",
    response_class=Response,
    responses={200: {"content": {"application/json": {}}}},
)
@for_owners
def api_export_journal(garden: GardenHere) -> Response:
    """Return the whole journal; it can be read back into an empty garden."""
    return _file(garden, export_journal(garden), "journal", "json", "application/json")


@router.get(
    "/export/readings.csv",
    response_class=Response,
    responses={200: {"content": {"text/csv": {}}}},
)
@for_keepers
def api_export_readings(garden: GardenHere) -> Response:
    """Return every reading as a table."""
    return _file(garden, export_readings_csv(garden), "readings", "csv", "text/csv")


def _entry(garden: Garden, sent: models.EntryIn) -> Entry:
    return Entry(
        id=sent.id,
        kind=sent.kind,
        at=sent.at,
        body=sent.body,
        written_at=sent.written_at or garden.now(),
        author=sent.author,
        origin="page",
    )


def _store(garden: Garden, entry: Entry, outcome: models.EntriesOut) -> None:
    """Store one entry and note what became of it; a journal out of reach stops the batch."""
    try:
        # What waited in a phone is kept even if it no longer fits; the Today page then says so.
        answer = log_many(garden, [entry], must_make_sense=False)
    except (StoreProblem, ServiceProblem):
        raise
    except HeapwrightError as error:
        problem = faults.problem(error, faults.status_of(error), garden.reader())
        refused = models.RefusedModel(id=entry.id, problem=models.Problem(**problem))
        outcome.refused.append(refused)
        return
    outcome.stored.extend(answer.stored)
    outcome.already_there.extend(answer.already_there)
    reader = garden.reader()
    outcome.warnings.extend(words.say(warning, reader) for warning in answer.warnings)


def _file(garden: Garden, text: str, name: str, ending: str, media_type: str) -> Response:
    file_name = f"heapwright-{name}-{now_in(garden):%Y-%m-%d}.{ending}"
    headers = {"Content-Disposition": f'attachment; filename="{file_name}"'}
    return Response(text, media_type=media_type, headers=headers)
