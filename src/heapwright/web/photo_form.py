"""Reads the photo of a Log form: a file just taken, or the one held while a mistake is mended.

Knows the photo's fields. What a photo may be is said by `journal.picture`.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from heapwright.errors import HeapwrightError, NotFound
from heapwright.journal.picture import Photo, prepared
from heapwright.web.forms import Filled
from heapwright.workshop.garden import Garden

#: The file field, the hidden field with the name of a photo held, and the box that lets go of it.
PHOTO, HELD, WITHOUT = "photo", "photo_held", "photo_without"


@dataclass(frozen=True, slots=True)
class Brought:
    """A photo that came with a form.

    Attributes
    ----------
    photo : Photo
    mark : str
        The same however often the same form is sent, whatever version decodes the file.

    """

    photo: Photo
    mark: str


def brought(garden: Garden, form: Filled) -> Brought | None:
    """Return the photo a form brings, None when it brings none or one that cannot be kept.

    What is wrong is held beside the field; all else in the form goes on as if there were no photo.
    """
    data = form.files.get(PHOTO, b"")
    try:
        if data:
            return Brought(prepared(data), hashlib.sha256(data).hexdigest())
        return None if form.has(WITHOUT, "yes") else _held(garden, form.text(HELD))
    except HeapwrightError as problem:
        form.wrong(PHOTO, problem)
        return None


def hold(garden: Garden, form: Filled, found: Brought | None) -> None:
    """Keep a form's photo until the form comes again, with its name in a hidden field."""
    rest = form.without(HELD, WITHOUT)
    if found is None:
        form.given = tuple(rest)
        return
    try:
        garden.photos.hold(found.photo, garden.now())
    except HeapwrightError as problem:  # a full disk: all else of the form is kept on the page
        form.given = tuple(rest)
        form.wrong(PHOTO, problem)
        return
    form.given = (*rest, (HELD, found.photo.sha256))


def held(garden: Garden, form: Filled) -> Photo | None:
    """Return the photo that waits for a form to be sent again."""
    return garden.photos.find(form.text(HELD)) if form.text(HELD) else None


def _held(garden: Garden, name: str) -> Brought | None:
    if not name:
        return None
    photo = garden.photos.find(name)
    if photo is None:
        raise NotFound(
            "The photo that waited for this form is gone",
            why="a form keeps its photo for two days",
            instead="Take it again, or leave it out",
        )
    return Brought(photo, name)
