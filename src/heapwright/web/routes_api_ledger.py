"""The programs' interface to the ledger.

Knows which workshop function answers. The document is in `api_ledger_models`.
"""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter
from starlette.responses import Response

from heapwright.web import api_ledger_models as models
from heapwright.web.api_models import Problem
from heapwright.web.here import GardenHere
from heapwright.web.roles import for_readers
from heapwright.web.routes_ledger import Year
from heapwright.workshop.ledger import ledger_now
from heapwright.workshop.ledger_table import ledger_csv
from heapwright.workshop.plain import to_plain

_PROBLEMS: dict[int | str, dict[str, Any]] = {
    422: {"model": Problem, "description": "No year that can have anything in it"},
    503: {
        "model": Problem,
        "description": "The journal cannot be reached just now; nothing is lost, send again",
    },
}
router = APIRouter(prefix="/api", responses=_PROBLEMS)


@router.get("/ledger", response_model=models.LedgerModel)
@for_readers
def api_ledger(garden: GardenHere, year: Year = None) -> Any:
    """Return water, compost, material and money by month: what was, and what is expected."""
    return to_plain(ledger_now(garden, year), garden.reader())


@router.get(
    "/ledger.csv",
    response_class=Response,
    responses={200: {"content": {"text/csv": {}}}},
)
@for_readers
def api_ledger_csv(garden: GardenHere, year: Year = None) -> Response:
    """Return the same months as a table in SI units, a row each."""
    name = "ledger" if year is None else f"ledger-{year}"
    return Response(
        ledger_csv(ledger_now(garden, year)),
        media_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}.csv"'},
    )
