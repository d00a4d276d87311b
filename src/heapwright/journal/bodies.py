"""Checks an entry's body and times before it is stored.

Knows which fields go together and that the journal holds what has happened. The fields one by one
are in `forms.py`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

from heapwright.errors import NotUnderstood, OutOfRange
from heapwright.journal import fields, forms_year
from heapwright.journal.body_form import read_fields
from heapwright.journal.entries import Entry, EntryKind
from heapwright.journal.finish_forms import result_together, screening_together
from heapwright.journal.forms import FORMS, ORIGINS
from heapwright.wording import worded


def checked_body(kind: EntryKind, body: Mapping[str, Any]) -> dict[str, Any]:
    """Return the body clean: numbers as numbers, texts trimmed, fields in the order of the form.

    Parameters
    ----------
    kind : EntryKind
    body : mapping
        Plain JSON values, SI units.

    Returns
    -------
    dict
        Checking it again gives the same.

    Raises
    ------
    NotUnderstood, OutOfRange
        Says which field, which value and what would be right.

    """
    clean = read_fields(worded("An entry of kind {kind}", kind=kind), FORMS[kind], body)
    together = _TOGETHER.get(kind)
    if together is not None:
        together(clean)
    return clean


def _garden_together(body: dict[str, Any]) -> None:
    if not body:
        raise NotUnderstood("No setting is changed", instead="Name at least one setting")


def _build_together(body: dict[str, Any]) -> None:
    if ("lines" in body) == ("fill" in body):
        raise NotUnderstood(
            "A heap is built from lots, or was there before, not both or neither",
            instead="Name the lots that went in, or describe the heap as it is",
        )


def _look_together(body: dict[str, Any]) -> None:
    if len(body) < 2:
        raise NotUnderstood(
            "Nothing was seen", instead="Say at least one of squeeze, smell, pests, looks or level"
        )


def _turn_together(body: dict[str, Any]) -> None:
    moved = body["how"] == "move"
    if moved and "to_bin" not in body:
        raise NotUnderstood("The heap was moved, but not where to", instead="Name the other bin")
    if not moved and ("to_bin" in body or "onto" in body):
        raise NotUnderstood(
            "A heap stirred where it stands stays in its bin",
            instead='Say "move" if it went to another bin',
        )
    if moved and body["to_bin"] == body["bin"]:
        raise NotUnderstood(
            "The heap was moved into the bin it was in",
            instead='Say "stir" if it was turned where it stands',
        )


def _use_together(body: dict[str, Any]) -> None:
    if not body.get("all") and not body.get("volume_m3"):
        raise NotUnderstood(
            "How much compost was taken out is missing",
            instead="Give the amount, or say that it was all of it",
        )
    if body.get("store") and "bed" in body:
        raise NotUnderstood(
            "The compost went on a bed and was put by", instead="Log two takings, one for each"
        )
    if body.get("store") and "volume_m3" not in body:
        raise NotUnderstood(
            "How much compost was put by is missing", instead="Give the amount as well"
        )


def _correct_together(body: dict[str, Any]) -> None:
    if "body" not in body and "at" not in body:
        raise NotUnderstood("The correction changes nothing", instead="Give a new time or body")


_TOGETHER: Mapping[EntryKind, Callable[[dict[str, Any]], None]] = {
    EntryKind.GARDEN: _garden_together,
    EntryKind.BUILD: _build_together,
    EntryKind.LOOK: _look_together,
    EntryKind.TURN: _turn_together,
    EntryKind.USE: _use_together,
    EntryKind.TEST: result_together,
    EntryKind.SCREEN: screening_together,
    EntryKind.SITE: forms_year.site_together,
    EntryKind.BED: forms_year.bed_together,
    EntryKind.ARRIVAL: forms_year.arrival_together,
    EntryKind.AWAY: forms_year.away_together,
    EntryKind.WISHES: forms_year.wishes_together,
    EntryKind.CORRECT: _correct_together,
}


def checked_entry(entry: Entry, *, now: datetime | None = None) -> Entry:
    """Return the entry with a clean body and times in UTC.

    Parameters
    ----------
    entry : Entry
    now : datetime, optional
        When given, an entry dated later (beyond the allowed clock skew) is refused.

    """
    fields.entry_id("Id", entry.id)
    kind = _kind(entry.kind)
    body = checked_body(kind, entry.body)
    at = _utc("When it happened", entry.at)
    if now is not None:
        _not_in_future(at, now)
        if kind is EntryKind.CORRECT and "at" in body:
            _not_in_future(datetime.fromisoformat(body["at"]), now)
    return replace(
        entry,
        kind=kind,
        at=at,
        body=body,
        written_at=_utc("When it was written", entry.written_at),
        author=fields.text(fields.NAME_LENGTH)("Author", entry.author) if entry.author else "",
        origin=fields.choice(ORIGINS)("Origin", entry.origin),
    )


def _kind(kind: str) -> EntryKind:
    return EntryKind(fields.choice(EntryKind)("Kind of entry", kind))


def _utc(label: str, when: datetime) -> datetime:
    if when.tzinfo is None:
        raise NotUnderstood(
            worded("{label} ({when}) has no time zone", label=label, when=when),
            instead="Give it in UTC",
        )
    return when.astimezone(UTC)


def _not_in_future(at: datetime, now: datetime) -> None:
    skew = timedelta(minutes=fields.limit("clock_skew_minutes").high)
    if at > now + skew:
        raise OutOfRange(
            worded("{at:%Y-%m-%d %H:%M} UTC has not come yet", at=at),
            why=worded("now it is {now:%Y-%m-%d %H:%M} UTC", now=now.astimezone(UTC)),
            instead="Check the year, the month and the day",
        )
