"""Reads dates and times of day in the forms that people and loggers write them.

Knows forms and what each can mean. Knows nothing of files or temperatures; the time zone and the
order of day and month are told by the caller.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, timezone, tzinfo

from heapwright.errors import NotUnderstood
from heapwright.journal.fields import limit
from heapwright.wording import worded

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_MONTH_NAMES = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)
_YEAR_FIRST = re.compile(
    r"(?P<year>\d{4})(?P<sign>[-/.])(?P<month>\d{1,2})(?P=sign)(?P<day>\d{1,2})(?=$|[T\s,])"
)
_PACKED = re.compile(r"(?P<year>\d{4})(?P<month>\d{2})(?P<day>\d{2})(?=$|[T\s])")
_NUMERIC = re.compile(r"(\d{1,2})([-/.])(\d{1,2})\2(\d{4}|\d{2})(?=$|[T\s,])")
_WEEKDAY = re.compile(r"(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,?\s+", re.IGNORECASE)
_MONTH_WORD = r"([A-Za-z]{3,9})\.?"
_DAY_THEN_MONTH = re.compile(
    rf"(\d{{1,2}})(?:st|nd|rd|th)?[\s\-./]*{_MONTH_WORD}[\s\-./,]*(\d{{4}}|\d{{2}})(?=$|[T\s,])"
)
_MONTH_THEN_DAY = re.compile(
    rf"{_MONTH_WORD}[\s\-./]*(\d{{1,2}})(?:st|nd|rd|th)?(?:[\s\-./,]+)(\d{{4}}|\d{{2}})(?=$|[T\s,])"
)
_TIME = re.compile(
    r"(\d{1,2})(?:[:.h](\d{2})(?::(\d{2})(?:[.,](\d{1,9}))?)?|h)?\s*(?:([ap])\.?m?\.?)?",
    re.IGNORECASE,
)
_PACKED_TIME = re.compile(r"(\d{2})(\d{2})")
_ZONE = re.compile(r"\s*(Z|UTC|GMT|[+-]\d{2}:?\d{2})$", re.IGNORECASE)

#: Forms as they are said to the person.
YEAR_FIRST, DAY_FIRST, MONTH_FIRST, IN_WORDS = (
    "year-month-day",
    "day/month/year",
    "month/day/year",
    "month in words",
)


@dataclass(frozen=True, slots=True)
class DateCell:
    """A date as written: its numbers, and the order they stand in where that is known.

    Attributes
    ----------
    form : str
        One of the forms above, "" while day and month could be either.
    first, second, year : int
        As written; for a known form `first` is the month and `second` the day.
    rest : str
        What follows: the time of day.

    """

    form: str
    first: int
    second: int
    year: int
    rest: str

    def day(self, day_first: bool) -> date:
        """Return the calendar day; raises ValueError when there is no such day."""
        turned = not self.form and day_first
        month, day = (self.second, self.first) if turned else (self.first, self.second)
        return date(self.year, month, day)


def read_date(text: str) -> DateCell:
    """Return the date a text begins with.

    Raises
    ------
    NotUnderstood
        When it begins with no date in a known form.

    """
    weekday = _WEEKDAY.match(text.strip())
    plain = text.strip()[weekday.end() if weekday else 0 :]
    if match := _YEAR_FIRST.match(plain) or _PACKED.match(plain):
        month, day, year = int(match["month"]), int(match["day"]), int(match["year"])
        return DateCell(YEAR_FIRST, month, day, year, _after(plain, match))
    if match := _NUMERIC.match(plain):
        return _numeric(match, _after(plain, match))
    if match := _DAY_THEN_MONTH.match(plain):
        return _in_words(match[2], match[1], match[3], _after(plain, match), text)
    if match := _MONTH_THEN_DAY.match(plain):
        return _in_words(match[1], match[2], match[3], _after(plain, match), text)
    raise _no_date(text)


def _after(plain: str, match: re.Match[str]) -> str:
    return plain[match.end() :].lstrip("T, \t")


def _numeric(match: re.Match[str], rest: str) -> DateCell:
    first, second, year = int(match[1]), int(match[3]), _full_year(match[4])
    if match[2] == ".":  # with full stops the day stands first, wherever that is written
        return DateCell(DAY_FIRST, second, first, year, rest)
    return DateCell("", first, second, year, rest)


def _in_words(word: str, day: str, year: str, rest: str, text: str) -> DateCell:
    short = word.lower()[:3]
    if short not in _MONTHS or not (
        _MONTH_NAMES[_MONTHS.index(short)].startswith(word.lower()) or word.lower() == "sept"
    ):
        raise _no_date(text)
    return DateCell(IN_WORDS, _MONTHS.index(short) + 1, int(day), _full_year(year), rest)


def _full_year(written: str) -> int:
    return int(written) + (2000 if len(written) == 2 else 0)


def _no_date(text: str) -> NotUnderstood:
    number = re.fullmatch(r"\d+(\.\d+)?", text.strip())
    why = "it is a number; a spreadsheet may have lost the date's form" if number else ""
    year_lacks = re.fullmatch(r"\d{1,2}[-/.]\d{1,2}\.?", text.strip())
    why = "the year is missing" if year_lacks else why
    return NotUnderstood(
        worded('Date "{text}" is not understood', text=text.strip()[:40]),
        why=why,
        instead="Write it like 2026-11-25",
    )


@dataclass(frozen=True, slots=True)
class Order:
    """What the dates of a file say about day and month.

    Attributes
    ----------
    day_first : bool or None
        None while both are possible.
    why : str
        What decided, or why it cannot be decided.

    """

    day_first: bool | None
    why: str


def decide_order(cells: Iterable[DateCell], now: datetime) -> Order:
    """Return whether the day stands first, if the dates themselves decide it."""
    open_cells = [cell for cell in cells if not cell.form and cell.first != cell.second]
    if not open_cells:
        return Order(False, "")
    day_first = next((c for c in open_cells if c.first > 12 >= c.second), None)
    month_first = next((c for c in open_cells if c.second > 12 >= c.first), None)
    if day_first and month_first:
        one, other = _written(day_first), _written(month_first)
        return Order(
            None,
            worded("{one} can only be day/month, {other} only month/day", one=one, other=other),
        )
    if day_first or month_first:
        return Order(
            bool(day_first),
            worded("decided by {day_first}", day_first=_written(day_first or month_first)),
        )
    return _order_by_now(open_cells, now)


def _order_by_now(cells: list[DateCell], now: datetime) -> Order:
    """A reading of tomorrow cannot be meant, so the order that gives one is not the right one."""
    latest = now.date() + timedelta(days=1)  # the day may be over elsewhere
    coming = {turned: [c for c in cells if _day_or_never(c, turned) > latest] for turned in (0, 1)}
    if bool(coming[0]) != bool(coming[1]):
        day_first = bool(coming[0])
        decided = coming[0 if day_first else 1][0]
        return Order(
            day_first,
            worded(
                "the other way round {decided} would not have come yet", decided=_written(decided)
            ),
        )
    return Order(None, worded("{cells} can be read two ways", cells=_written(cells[0])))


def _day_or_never(cell: DateCell, day_first: int) -> date:
    try:
        return cell.day(bool(day_first))
    except ValueError:
        return date.max


def _written(cell: DateCell | None) -> str:
    return f"{cell.first}/{cell.second}/{cell.year}" if cell else ""


def read_time(text: str) -> tuple[time, tzinfo | None]:
    """Return the time of day and, where it is written, the offset from UTC.

    Raises
    ------
    NotUnderstood
        When it is no time of day.

    """
    plain, zone = text.strip(), None
    if match := _ZONE.search(plain):
        plain, zone = plain[: match.start()], _offset(match[1])
    plain = _PACKED_TIME.sub(r"\1:\2", plain.strip()) if plain.strip().isdigit() else plain.strip()
    match = _TIME.fullmatch(plain)
    if match is None or plain.isdigit():
        raise _no_time(text)
    hour, minute, second = (int(match[i] or 0) for i in (1, 2, 3))
    if match[5]:
        if not 1 <= hour <= 12:
            raise _no_time(text)
        hour = hour % 12 + (12 if match[5].lower() == "p" else 0)
    try:
        return time(hour, minute, second, int((match[4] or "").ljust(6, "0")[:6])), zone
    except ValueError as problem:
        raise _no_time(text) from problem


def _offset(word: str) -> tzinfo:
    if word.upper() in ("Z", "UTC", "GMT"):
        return UTC
    sign = -1 if word[0] == "-" else 1
    hours, minutes = int(word[1:3]), int(word[-2:])
    return timezone(sign * timedelta(hours=hours, minutes=minutes))


def _no_time(text: str) -> NotUnderstood:
    return NotUnderstood(
        worded('Time "{text}" is not understood', text=text.strip()[:40]),
        instead="Write it like 14:20 or 2:20 pm",
    )


def moment(cell: DateCell, at: str, day_first: bool, zone: tzinfo) -> tuple[datetime, bool]:
    """Return the moment in UTC, and whether a time of day was written (else it is noon).

    Raises
    ------
    NotUnderstood
        When there is no such day or time.

    """
    try:
        day = cell.day(day_first)
    except ValueError as problem:
        raise NotUnderstood(
            worded("Date {cell}: there is no such day", cell=_written(cell)),
            instead="Check day and month, and which of them stands first",
        ) from problem
    years = limit("year")
    if not years.low <= day.year <= years.high:
        raise NotUnderstood(
            worded(
                "Date {day}: the year lies between {low:g} and {high:g}",
                day=day,
                low=years.low,
                high=years.high,
            ),
            instead="Check the year",
        )
    written = at.strip() or cell.rest
    clock, offset = read_time(written) if written else (time(12), None)
    local = datetime.combine(day, clock, tzinfo=offset or zone)
    return local.astimezone(UTC), bool(written)
