"""Writes the year's jobs as an iCalendar file (RFC 5545) that a phone's calendar subscribes to.

Each job keeps its UID while the plan is made anew, so a calendar moves what it has and adds none.
Knows the form of the file; what the jobs are is told by the year's plan.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from heapwright.journal.entries import Entry, EntryKind
from heapwright.sentences import Reader, render, say
from heapwright.wording import joined
from heapwright.workshop.garden import Garden
from heapwright.workshop.year_answer import YearAnswer, YearBed, YearJob

if TYPE_CHECKING:
    from icalendar import Event

#: How often a calendar is asked to look again.
_LOOK_AGAIN = timedelta(hours=12)
_PRODUCT = "-//Heapwright//The year ahead//EN"


def calendar_file(garden: Garden, answer: YearAnswer, reader: Reader) -> bytes:
    """Return the jobs and the beds' dates as an iCalendar file.

    Parameters
    ----------
    garden : Garden
    answer : YearAnswer
    reader : Reader
        Whose language and units the words are in.

    Returns
    -------
    bytes
        UTF-8, lines folded and ended as RFC 5545 asks. The same plan gives the same file.

    """
    from icalendar import Calendar

    name = garden.state().settings.name
    made = Calendar()
    made.add("prodid", _PRODUCT)
    made.add("version", "2.0")
    made.add("method", "PUBLISH")
    made.add("name", name)
    made.add("x-wr-calname", name)
    made.add("refresh-interval", _LOOK_AGAIN, parameters={"VALUE": "DURATION"})
    stamp = _stamp(answer)
    for event in _events(garden, answer, reader):
        event.add("dtstamp", stamp)
        made.add_component(event)
    return made.to_ical()


def _events(garden: Garden, answer: YearAnswer, reader: Reader) -> Iterable[Event]:
    mark = garden_mark(garden)
    for job in answer.jobs:
        yield _of_job(job, mark, reader)
    entries = garden.entries()
    for bed in answer.beds:
        yield _of_bed(bed, mark, reader, _revision(bed, entries))


def garden_mark(garden: Garden) -> str:
    """Return what tells this garden's events from another's: the id of its first entry."""
    entries = garden.entries()
    return entries[0].id[:12] if entries else "new"


def _stamp(answer: YearAnswer) -> datetime:
    from datetime import UTC, time

    # The day the plan was made for, not the moment it was asked for: the same plan, the same file.
    return datetime.combine(answer.first_day, time.min, UTC)


def _of_job(job: YearJob, mark: str, reader: Reader) -> Event:
    told = [render(one, reader) for one in (*job.amounts, *job.cautions)]
    return _event(
        uid=f"{job.id}@{mark}.heapwright",
        day=job.day,
        summary=render(job.told, reader),
        told=told,
        revision=job.revision,
    )


def _revision(bed: YearBed, entries: Sequence[Entry]) -> int:
    """Return a number that grows each time a bed is said anew, or anything is taken back."""
    said = sum(one.kind is EntryKind.BED and one.body["key"] == bed.key for one in entries)
    return max(0, said - 1) + sum(one.kind is EntryKind.UNDO for one in entries)


def _of_bed(bed: YearBed, mark: str, reader: Reader, revision: int) -> Event:
    from heapwright.sentences import word

    return _event(
        uid=f"bed-{bed.key}-{bed.due.year}@{mark}.heapwright",
        day=bed.due,
        summary=render(say("Compost for {bed}", bed=word(bed.name)), reader),
        told=[render(bed.told, reader)],
        revision=revision,
    )


def _event(*, uid: str, day: date, summary: str, told: list[str], revision: int) -> Event:
    from icalendar import Event

    made = Event()
    made.add("uid", uid)
    made.add("dtstart", day)
    made.add("dtend", day + timedelta(days=1))
    made.add("summary", summary)
    if told:
        made.add("description", str(joined(told, "\n")))
    made.add("sequence", revision)
    made.add("transp", "TRANSPARENT")  # a job does not make anybody busy for a whole day
    return made
