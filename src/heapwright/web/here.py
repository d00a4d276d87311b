"""What a route may ask of the running program: its garden and the time there.

Knows where the application keeps its garden. Knows nothing of what a garden answers.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, tzinfo
from typing import Annotated
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from fastapi import Depends, Request

from heapwright.errors import HeapwrightError
from heapwright.quantities import UnitSystem
from heapwright.sentences import Reader
from heapwright.web import sessions
from heapwright.wording import Language, language, preferred
from heapwright.workshop.garden import Garden


def garden_of(request: Request) -> Garden:
    """Return the one garden this request may see, written in with the visitor's own pen.

    Every route gets its garden here and nowhere else: on a server of several gardens this is what
    keeps neighbours apart.

    Raises
    ------
    NotSignedIn
        When the gardens are shared and nobody is signed in.

    """
    return sessions.visit_of(request).garden


#: Write `garden: GardenHere` in a route's parameters to be handed the garden.
GardenHere = Annotated[Garden, Depends(garden_of)]


def reader_of(request: Request) -> Reader:
    """Return the reader: the garden's units; its language, or the browser's if it names none."""
    garden = garden_of(request)
    reader = garden.reader()
    if garden.state().settings.language:
        return reader
    return replace(reader, language=wished_language(request))


def reader_or_default(request: Request) -> Reader:
    """Return the reader; the usual units when the journal cannot be read just now."""
    try:
        return reader_of(request)
    except HeapwrightError:
        return Reader(UnitSystem.US, wished_language(request))


def wished_language(request: Request) -> Language:
    """Return the language that the browser would rather have, of those spoken here."""
    return language(preferred(request.headers.get("accept-language", "")))


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
