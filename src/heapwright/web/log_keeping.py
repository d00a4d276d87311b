"""Stores one visit at a bin: the moment it is held to, the question it raises, its entries.

Knows the way from a filled Log form to the journal, whether a person waits for the answer or the
form waited in a phone. Knows nothing of pages or of JSON.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from urllib.parse import urlencode

from heapwright.errors import HeapwrightError
from heapwright.journal.entries import Entry, EntryKind
from heapwright.web import log_form, photo_form
from heapwright.web.doubt import Doubt, Last, doubt
from heapwright.web.forms import WHOLE_FORM, Filled
from heapwright.web.here import zone_of
from heapwright.web.moments import read_moment
from heapwright.web.photo_form import Brought
from heapwright.web.storing import Told, made_entry, store_once
from heapwright.workshop.garden import Garden
from heapwright.workshop.history import is_core_reading


@dataclass(frozen=True, slots=True)
class Visit:
    """One visit as the journal has it now.

    Attributes
    ----------
    bin_key : str
        Where the person stood.
    entries : sequence of Entry
    fresh : bool
        False when the same form had come before and nothing was stored by this call.

    """

    bin_key: str
    entries: Sequence[Entry]
    fresh: bool

    @property
    def page(self) -> str:
        """The address that tells what was stored."""
        ids = [("entry", entry.id) for entry in self.entries]
        again = [] if self.fresh else [("again", "1")]
        return f"/log/saved?{urlencode([('bin', self.bin_key), *ids, *again])}"


def moment_told(garden: Garden, form: Filled, written: datetime) -> datetime:
    """Return when it was: as the person typed it, else when the form was written.

    A moment that cannot be is held beside its field.
    """
    zone, now = zone_of(garden), garden.now()
    return form.read("at", "When it was", lambda text: read_moment(text, zone, now)) or written


def question(garden: Garden, form: Filled, at: datetime) -> Doubt | None:
    """Return what is to be asked about the temperature; None when it is plain or confirmed."""
    text = form.text("temperature")
    if not text or form.text("sure"):
        return None
    unit = log_form.temperature_unit(form, garden.state())
    try:
        return doubt(text, unit, last_read(garden, form.text("bin")), at)
    except HeapwrightError:
        return None  # held beside the field when the form is read


def last_read(garden: Garden, bin_key: str) -> Last | None:
    """Return the last core reading of what lies in a bin."""
    if bin_key not in garden.state().bins_in_use:
        return None
    readings = [e for e in garden.readings_of_bin(bin_key) if is_core_reading(e)]
    if not readings:
        return None
    return Last(readings[-1].at, float(readings[-1].body["temperature_c"]))


def keep(garden: Garden, form: Filled, at: datetime, *, waited: bool = False) -> Visit | None:
    """Store what a form tells, once however often it comes.

    Parameters
    ----------
    garden : Garden
    form : Filled
    at : datetime
        When the first thing of the visit was done.
    waited : bool, default False
        The form waited in a phone: it is held to the journal of its own time, and what makes no
        sense by now is stored all the same and told on Today, so that nothing written is lost.

    Returns
    -------
    Visit or None
        None when something is wrong; the form then holds what, field by field, and nothing is
        stored.

    """
    found = photo_form.brought(garden, form)
    photo = None if found is None else found.photo
    things = log_form.told(form, garden.state(), waited=waited, photo=photo)
    if form.problems:
        photo_form.hold(garden, form, found)
        return None
    times = log_form.moments(at, len(things))
    entries = [
        made_entry(garden, one, form.id_for(_what(one, found)), when)
        for one, when in zip(things, times, strict=True)
    ]
    try:
        fresh = store_once(
            garden,
            entries,
            must_make_sense=not waited,
            photos=[] if photo is None else [photo],
        )
    except HeapwrightError as problem:
        form.wrong(WHOLE_FORM, problem)
        photo_form.hold(garden, form, found)
        return None
    return Visit(form.text("bin"), entries, fresh)


def _what(one: Told, found: Brought | None) -> str:
    """Return what tells an entry of a form from others; a photo taken anew is another one."""
    if found is None or one.kind is not EntryKind.PHOTO:
        return one.what
    return f"{one.what} {found.mark}"
