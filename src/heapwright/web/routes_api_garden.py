"""The programs' interface to beds and site.

Knows which workshop function answers which address. The documents are in `api_garden_models`.
"""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter

from heapwright.web import api_garden_models as models
from heapwright.web.api_models import Problem
from heapwright.web.here import GardenHere
from heapwright.web.roles import for_readers
from heapwright.workshop.beds import beds
from heapwright.workshop.plain import to_plain
from heapwright.workshop.site import site

_NOT_NOW: dict[int | str, dict[str, Any]] = {
    503: {
        "model": Problem,
        "description": "The journal cannot be reached just now; nothing is lost, send again",
    }
}
router = APIRouter(prefix="/api", responses=_NOT_NOW)


@router.get("/beds", response_model=models.BedsModel)
@for_readers
def api_beds(garden: GardenHere) -> Any:
    """Return what the beds want, what they get of the own compost and what is to be bought in."""
    return to_plain(beds(garden), garden.reader())


@router.get("/site", response_model=models.SiteAnswerModel)
@for_readers
def api_site(garden: GardenHere) -> Any:
    """Return what the place can hold and give: bins, floor plan, distances, water, compost."""
    return to_plain(site(garden), garden.reader())
