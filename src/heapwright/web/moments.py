"""Reads when something was done: the phone's date and time field, in the garden's own time.

Knows the field's writing and that the journal holds what has happened. Knows nothing of entries.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, tzinfo

from heapwright.errors import NotUnderstood, OutOfRange
from heapwright.journal import fields
from heapwright.wording import dated, worded


def read_moment(text: str, zone: tzinfo, now: datetime) -> datetime:
    """Return the moment a date and time field holds, in UTC.

    Parameters
    ----------
    text : str
        As browsers send it, "2026-11-25T07:30", or a date alone, which means its noon.
    zone : tzinfo
        The garden's own.
    now : datetime
        A later moment is refused, but for what clocks differ.

    Raises
    ------
    NotUnderstood, OutOfRange

    """
    try:
        said = datetime.fromisoformat(text)
    except ValueError as problem:
        raise NotUnderstood(
            worded('"{text}" is not a date and time', text=text),
            instead=worded("Write it like {now}", now=form_value(now, zone)),
        ) from problem
    if len(text) <= len("2026-11-25"):
        said = min(said.replace(hour=12), max(now.astimezone(zone).replace(tzinfo=None), said))
    try:
        at = (said if said.tzinfo else said.replace(tzinfo=zone)).astimezone(UTC)
    except OverflowError as problem:
        raise OutOfRange(
            worded("The year {year}", year=said.year), instead="Check the year"
        ) from problem
    return _has_been(at, zone, now)


def _has_been(at: datetime, zone: tzinfo, now: datetime) -> datetime:
    if at.year < fields.limit("year").low:
        raise OutOfRange(
            worded("The year {year}", year=at.year),
            why="nobody kept a log here then",
            instead="Check the year",
        )
    if at > now + timedelta(minutes=fields.limit("clock_skew_minutes").high):
        raise OutOfRange(
            worded("{at} has not come yet", at=_plain(at, zone)),
            why=worded("now it is {now} in the garden", now=_plain(now, zone)),
            instead="Check the day and the time",
        )
    return at


def form_value(moment: datetime, zone: tzinfo) -> str:
    """Return a moment as a date and time field holds it."""
    return f"{moment.astimezone(zone):%Y-%m-%dT%H:%M}"


def _plain(moment: datetime, zone: tzinfo) -> str:
    return dated(moment.astimezone(zone), "d MMMM y HH:mm")
