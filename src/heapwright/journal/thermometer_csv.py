"""Reads a thermometer's log from CSV: a preview says what was understood before anything is kept.

Knows what must be decided for the whole file: its columns, unit and order of day and month, by
what the person says, else by the file, else by asking. Knows nothing of the store: whoever keeps
the preview's entries appends them. The same file twice gives the same ids, so nothing is stored
twice.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, tzinfo
from zoneinfo import ZoneInfo

from heapwright.errors import HeapwrightError
from heapwright.journal import csv_dates, fields
from heapwright.journal.csv_columns import Layout, Question, depth_m, find_layout
from heapwright.journal.csv_dates import DateCell, Order
from heapwright.journal.csv_readings import (
    BadRow,
    GoodRow,
    Meaning,
    cell,
    is_plain_number,
    read_readings,
)
from heapwright.journal.csv_text import read_csv
from heapwright.journal.entries import Entry
from heapwright.quantities import TemperatureUnit, celsius_to_fahrenheit, parse_number
from heapwright.wording import worded


@dataclass(frozen=True, slots=True)
class ImportPreview:
    """What a file says, before anything is kept.

    Attributes
    ----------
    columns : mapping of str to str
        Heading by role: date, time, temperature, unit, depth, note, bin, where, probe.
    headings : tuple of str
        Every column of the file.
    encoding : str
    unit : TemperatureUnit or None
        Meant where a cell names none.
    date_form : str
        "year-month-day", "day/month/year", "month/day/year", "month in words", or several.
    good : tuple of GoodRow
    bad : tuple of BadRow
    blank : int
        Rows without a temperature, skipped.
    said : tuple of str
        What was taken for granted, to be looked at.
    questions : tuple of Question
        What must be answered first; as long as there are any, no row has been read.

    """

    columns: Mapping[str, str]
    headings: tuple[str, ...]
    encoding: str
    unit: TemperatureUnit | None
    date_form: str
    good: tuple[GoodRow, ...]
    bad: tuple[BadRow, ...]
    blank: int
    said: tuple[str, ...]
    questions: tuple[Question, ...]

    @property
    def entries(self) -> tuple[Entry, ...]:
        """The readings to store: good ones that are not stored already."""
        return tuple(row.entry for row in self.good if not row.already_stored)

    @property
    def already_stored(self) -> int:
        """How many good rows are in the journal already."""
        return sum(row.already_stored for row in self.good)

    def with_known(self, ids: Collection[str]) -> ImportPreview:
        """Return the preview with those rows marked that the journal holds already."""
        known = frozenset(ids)
        good = (replace(row, already_stored=row.entry.id in known) for row in self.good)
        return replace(self, good=tuple(good))

    def summary(self) -> str:
        """Return one sentence for the person who is about to keep or drop this."""
        if self.questions:
            return " ".join(question.sentence for question in self.questions)
        counts = (
            (len(self.entries), "to store"),
            (self.already_stored, "stored already"),
            (len(self.bad), "not understood"),
            (self.blank, "without a temperature, skipped"),
        )
        told = ", ".join(f"{count} {words}" for count, words in counts if count)
        return worded("Rows: {told}.", told=told or "none")


def preview(
    data: bytes,
    *,
    bin_key: str,
    now: datetime,
    columns: Mapping[str, str] | None = None,
    default_unit: TemperatureUnit | str | None = None,
    depth_unit: str = "",
    day_first: bool | None = None,
    time_zone: str = "UTC",
    bins: Mapping[str, str] | None = None,
    known_ids: Collection[str] = (),
) -> ImportPreview:
    """Return what a thermometer's CSV file says.

    Parameters
    ----------
    data : bytes
        The file as it is.
    bin_key : str
        Whose readings these are.
    now : datetime
        Readings dated later are bad rows.
    columns : mapping of str to str, optional
        Role to heading where the headings do not tell; "" means not in this file.
    default_unit : TemperatureUnit, "C" or "F", optional
        Meant where neither cell nor heading names a unit.
    depth_unit : str, default ""
        The same for depth, such as "in" or "cm".
    day_first : bool, optional
        Whether 3/4/2026 is the third of April; None lets the file decide, or asks.
    time_zone : str, default "UTC"
        Where the clock stood.
    bins : mapping of str to str, optional
        Bin key by what the file's bin column says; asked for when it names several and none is
        known. Where it names one that is not known, `bin_key` is meant.
    known_ids : collection of str
        Ids the journal holds; see also `ImportPreview.with_known`.

    Raises
    ------
    UnreadableFile
        When it is no CSV file.
    NotFound
        When `columns` names a column that is not there.

    """
    text = read_csv(data)
    layout = find_layout(text.rows, columns)
    zone = ZoneInfo(fields.zone("Time zone", time_zone))
    unit, unit_why = _unit(layout, _as_unit(default_unit))
    dates = _dates(layout)
    order = csv_dates.decide_order(dates, now)
    if day_first is not None:
        order = Order(day_first, "as you said")
    layout = replace(layout, depth_unit=layout.depth_unit or depth_unit)
    names = {name.casefold(): key for name, key in (bins or {}).items()}
    found = ImportPreview(
        columns={role: layout.headings[n] for role, n in layout.roles.items()},
        headings=layout.headings,
        encoding=text.encoding,
        unit=unit,
        date_form=_date_form(dates, order),
        good=(),
        bad=(),
        blank=0,
        said=(*text.said, *layout.said, *_taken(layout, dates, order, unit, unit_why, zone)),
        questions=layout.questions or tuple(_questions(layout, unit, unit_why, order, names)),
    )
    if found.questions or unit is None:
        return found
    if all(name.casefold() not in names for name in _bins_named(layout)):
        names = {}  # the one thing the column says is no bin of ours: the bin given is meant
    turned = bool(order.day_first)
    meaning = Meaning(layout, bin_key, names, unit, layout.depth_unit, turned, zone, now)
    good, bad, blank = read_readings(meaning)
    return replace(found, good=good, bad=bad, blank=blank).with_known(known_ids)


def _as_unit(said: TemperatureUnit | str | None) -> TemperatureUnit | None:
    letter = (said or "").strip().strip("°").upper()
    return TemperatureUnit(fields.choice(TemperatureUnit)("Unit", letter)) if letter else None


def _unit(layout: Layout, default: TemperatureUnit | None) -> tuple[TemperatureUnit | None, str]:
    """Return the unit meant where none is written, and why; or None, and a value that is open."""
    if layout.unit is not None:
        return layout.unit, "as the heading says"
    if default is not None:
        return default, "as you said"
    cells = ((cell(layout, r, "temperature"), cell(layout, r, "unit")) for r in layout.rows)
    plain = [written for written, named in cells if not named and is_plain_number(written)]
    if not plain:
        return TemperatureUnit.F, ""
    # What is too hot for a heap in °C, and not in °F, was read in °F; one slip does not decide.
    hottest_c = fields.limit("temperature_c").high
    hottest_f = celsius_to_fahrenheit(hottest_c)
    only_f = [text for text in plain if hottest_c < parse_number(text) <= hottest_f]
    if len(only_f) * 2 > len(plain):
        return TemperatureUnit.F, worded(
            "most of them, such as {only_f}, can only be °F", only_f=only_f[0]
        )
    return None, plain[0]


def _dates(layout: Layout) -> list[DateCell]:
    """Return the dates of the rows that have one; the others are told row by row, later."""
    found = []
    for row in layout.rows:
        try:
            found.append(csv_dates.read_date(cell(layout, row, "date")))
        except HeapwrightError:
            continue
    return found


def _date_form(dates: Sequence[DateCell], order: Order) -> str:
    turned = csv_dates.DAY_FIRST if order.day_first else csv_dates.MONTH_FIRST
    return ", ".join(dict.fromkeys(date.form or turned for date in dates))


def _questions(
    layout: Layout,
    unit: TemperatureUnit | None,
    open_value: str,
    order: Order,
    bins: Mapping[str, str],
) -> Iterator[Question]:
    if order.day_first is None:
        said = worded(
            "Which stands first in the dates, the day or the month? {why}.", why=order.why
        )
        yield Question("day_first", said)
    if unit is None:
        said = worded(
            "Are the temperatures in °C or in °F? {open_value} could be either.",
            open_value=open_value,
        )
        yield Question("default_unit", said)
    depth = next((d for row in layout.rows if (d := cell(layout, row, "depth"))), "")
    if depth and not layout.depth_unit and not _has_unit(depth):
        said = worded(
            "Are the depths in inches or in centimetres? {depth} could be either.", depth=depth
        )
        yield Question("depth_unit", said)
    named = _bins_named(layout)
    if len(named) > 1 and not any(name.casefold() in bins for name in named):
        told = ", ".join(name or "(nothing)" for name in named[:10])
        yield Question(
            "bins", worded("The file names several bins ({told}). Which is which?", told=told)
        )


def _bins_named(layout: Layout) -> list[str]:
    """Return what the bin column says, each once; nothing when there is no such column."""
    if "bin" not in layout.roles:
        return []
    return list(dict.fromkeys(cell(layout, row, "bin") for row in layout.rows))


def _has_unit(depth: str) -> bool:
    try:
        depth_m(depth, "")
    except HeapwrightError:
        return False
    return True


def _taken(
    layout: Layout,
    dates: Sequence[DateCell],
    order: Order,
    unit: TemperatureUnit | None,
    unit_why: str,
    zone: tzinfo,
) -> Iterator[str]:
    """Yield what was taken for granted."""
    if order.why and order.day_first is not None:
        first = "day" if order.day_first else "month"
        yield worded("In the dates the {first} stands first: {why}.", first=first, why=order.why)
    if unit is not None and unit_why:
        yield worded(
            "Temperatures without a unit were read in °{unit}: {unit_why}.",
            unit=unit,
            unit_why=unit_why,
        )
    if any(not date.rest for date in dates) and "time" not in layout.roles:
        yield "Readings without a time of day were put at noon."
    yield worded("Times without a zone were read as {zone}.", zone=zone)
