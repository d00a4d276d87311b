"""The programs' interface to the year's stock.

Knows which workshop function answers which address. The document is in `api_stock_ahead_models`.
"""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter

from heapwright.web import api_stock_ahead_models as models
from heapwright.web.api_models import Problem
from heapwright.web.here import GardenHere
from heapwright.web.roles import for_readers
from heapwright.workshop.plain import to_plain
from heapwright.workshop.stock_ahead import stock_ahead

_NOT_NOW: dict[int | str, dict[str, Any]] = {
    503: {
        "model": Problem,
        "description": "The journal cannot be reached just now; nothing is lost, send again",
    }
}
router = APIRouter(prefix="/api", responses=_NOT_NOW)


@router.get("/stock/ahead", response_model=models.StockAheadModel)
@for_readers
def api_stock_ahead(garden: GardenHere) -> Any:
    """Return what arrives, what runs out when and how much brown to save, for 52 weeks."""
    return to_plain(stock_ahead(garden), garden.reader())
