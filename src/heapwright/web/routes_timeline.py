"""The page of all heaps through the weeks.

Knows which picture goes on it. Knows nothing of how it comes about.
"""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from starlette.responses import Response

from heapwright.web import heat, pages
from heapwright.web.here import GardenHere, zone_of
from heapwright.web.roles import for_readers
from heapwright.web.timeline import BAND_HEIGHT, timeline_picture
from heapwright.workshop.timeline import MOST_WEEKS, USUAL_WEEKS, timeline

router = APIRouter(include_in_schema=False)


@router.get("/timeline")
@for_readers
def show_timeline(
    request: Request,
    garden: GardenHere,
    weeks: Annotated[int, Query(ge=1, le=MOST_WEEKS)] = USUAL_WEEKS,
) -> Response:
    """Show every heap through the last weeks."""
    answer = timeline(garden, weeks)
    reader = garden.reader()
    return pages.render(
        request,
        "timeline.html",
        answer=answer,
        picture=timeline_picture(answer, reader, zone_of(garden)),
        band_height=BAND_HEIGHT,
        names={one.key: one.name for one in answer.bins},
        scale=heat.scale_marks(reader.units),
        most_weeks=MOST_WEEKS,
    )
