"""What a route may ask of the running program: its garden and the time there.

Knows where the application keeps its garden. Knows nothing of what a garden answers.
"""

from __future__ import annotations

from datetime import UTC, datetime, tzinfo
from typing import Annotated
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from fastapi import Depends, Request

from heapwright.sentences import Reader
from heapwright.workshop.garden import Garden


def garden_of(request: Request) -> Garden:
    """Return the garden this application was made for."""
    garden: Garden = request.app.state.garden
    return garden


#: Write `garden: GardenHere` in a route's parameters to be handed the garden.
GardenHere = Annotated[Garden, Depends(garden_of)]


def reader_of(request: Request) -> Reader:
    """Return the reader (units, language) of the garden."""
    return garden_of(request).reader()


ReaderHere = Annotated[Reader, Depends(reader_of)]


def zone_of(garden: Garden) -> tzinfo:
    """Return the garden's time zone; UTC when its name is not known on this machine."""
    try:
        return ZoneInfo(garden.state().settings.time_zone)
    except (ZoneInfoNotFoundError, ValueError):
        return UTC


def now_in(garden: Garden) -> datetime:
    """Return the present moment on the garden's own clock and in its time zone."""
    return garden.now().astimezone(zone_of(garden))
