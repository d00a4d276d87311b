"""A photo of a heap: its page with the readings of that day, and the picture itself.

Knows addresses and headers. Which photos may be seen is said by the entries that name them, in the
garden this request may see.
"""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Request
from starlette.responses import Response

from heapwright.web import pages, told
from heapwright.web.here import GardenHere
from heapwright.web.roles import for_readers
from heapwright.workshop.photos import photo_day, picture

router = APIRouter(include_in_schema=False)

EntryId = Annotated[str, Path(max_length=64)]
#: Kept by the phone for an hour and by nobody between: a photo taken back soon shows no more.
_KEPT = "private, max-age=3600"


@router.get("/photos/{entry_id}")
@for_readers
def show_photo(request: Request, garden: GardenHere, entry_id: EntryId) -> Response:
    """Show one photo, large, with what was read and done on that day."""
    day = photo_day(garden, entry_id)
    state = garden.state()
    return pages.render(
        request,
        "photo.html",
        day=day,
        photo=day.photo,
        told=[(one, told.telling(one, state)) for one in day.entries],
    )


@router.get("/photos/{entry_id}/picture.jpg")
@for_readers
def large_picture(garden: GardenHere, entry_id: EntryId) -> Response:
    """Return the photo itself."""
    return _jpeg(picture(garden, entry_id))


@router.get("/photos/{entry_id}/small.jpg")
@for_readers
def small_picture(garden: GardenHere, entry_id: EntryId) -> Response:
    """Return the small one for lists."""
    return _jpeg(picture(garden, entry_id, small=True))


def _jpeg(data: bytes) -> Response:
    headers = {"Cache-Control": _KEPT, "Content-Disposition": 'inline; filename="heap.jpg"'}
    return Response(data, media_type="image/jpeg", headers=headers)
