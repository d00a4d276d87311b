"""Turns the rows of a thermometer's log into readings with ids of their own.

Knows one row at a time, and what was decided for the whole file. Knows nothing of bytes, of how
columns were found, or of the store.

A reading's id is made of its bin, time, temperature, depth and its number among exact repeats in
the file, so that the same file read twice gives the same ids.
"""

from __future__ import annotations

import hashlib
import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, tzinfo
from typing import Any

from heapwright.errors import HeapwrightError, NotUnderstood
from heapwright.journal import csv_dates
from heapwright.journal.bodies import checked_entry
from heapwright.journal.csv_columns import Layout, depth_m
from heapwright.journal.csv_text import Row
from heapwright.journal.entries import Entry, EntryKind
from heapwright.journal.forms import PLACES
from heapwright.quantities import TemperatureUnit, parse_number, parse_temperature_c
from heapwright.wording import worded

# What people write into a cell that holds nothing.
_NOTHING = ("", "-", "--", "—", "–", ".", "n/a", "na", "none", "nan", "null", "nil", "?")
_FORMULA = re.compile(r"[=@]|[+-](?![\d.,])")
_KEPT_FROM_FORMULA = re.compile(r"'(?=[=+\-@＝＋－＠])")
_LETTERS_SHOWN = 60


@dataclass(frozen=True, slots=True)
class GoodRow:
    """A row that was understood, and the reading it becomes."""

    line: int
    entry: Entry
    already_stored: bool = False


@dataclass(frozen=True, slots=True)
class BadRow:
    """A row that was not understood, as it stands in the file, and why."""

    line: int
    text: str
    reason: str


@dataclass(frozen=True, slots=True)
class Meaning:
    """What was decided for every row of the file.

    Attributes
    ----------
    layout : Layout
    bin_key : str
        Whose readings these are where the file does not say.
    bins : mapping of str to str
        Bin key by what the bin column says, in lower case; {} when that column is not used.
    unit : TemperatureUnit
        Meant where neither the cell nor a unit column names one.
    depth_unit : str
    day_first : bool
    zone : tzinfo
    now : datetime

    """

    layout: Layout
    bin_key: str
    bins: Mapping[str, str]
    unit: TemperatureUnit
    depth_unit: str
    day_first: bool
    zone: tzinfo
    now: datetime


def cell(layout: Layout, row: Row, role: str) -> str:
    """Return what a row says in a role; "" when there is no such column or nothing in it."""
    column = layout.roles.get(role, len(row.cells))
    text = row.cells[column] if column < len(row.cells) else ""
    return "" if text.lower() in _NOTHING else text


def is_plain_number(text: str) -> bool:
    """Whether a cell is a number without a unit."""
    try:
        parse_number(text)
    except HeapwrightError:
        return False
    return True


def read_readings(meaning: Meaning) -> tuple[tuple[GoodRow, ...], tuple[BadRow, ...], int]:
    """Return good rows, bad rows, and how many had no temperature."""
    good: list[GoodRow] = []
    bad: list[BadRow] = []
    blank = 0
    repeats: Counter[str] = Counter()
    for row in meaning.layout.rows:
        try:
            entry = _reading(row, meaning, repeats)
        except HeapwrightError as problem:
            bad.append(_bad(row, problem))
        else:
            if entry is None:
                blank += 1
            else:
                good.append(GoodRow(row.line, entry))
    return tuple(good), tuple(bad), blank


def _bad(row: Row, problem: HeapwrightError) -> BadRow:
    text = " | ".join(row.cells).replace("\n", " ")
    # What happened to the person's data is said once, for the whole file.
    reason = type(problem)(problem.what, why=problem.why, instead=problem.instead, kept="")
    return BadRow(row.line, text[:_LETTERS_SHOWN], reason.sentence())


def _reading(row: Row, meaning: Meaning, repeats: Counter[str]) -> Entry | None:
    layout = meaning.layout
    _no_cell_too_many(row, len(layout.headings))
    written = cell(layout, row, "temperature")
    if not written:
        return None
    body: dict[str, Any] = {
        "bin": _bin(row, meaning),
        "temperature_c": _temperature_c(written, row, meaning),
    }
    if depth := cell(layout, row, "depth"):
        body["depth_m"] = depth_m(depth, meaning.depth_unit)
    nominal, at = _moment(row, meaning)
    entry_id = _entry_id(body, nominal, repeats)
    body |= _words(row, layout)
    entry = Entry(entry_id, EntryKind.READING, at, body, meaning.now, origin="import")
    return checked_entry(entry, now=meaning.now)


def _no_cell_too_many(row: Row, columns: int) -> None:
    if any(row.cells[columns:]):
        raise NotUnderstood(
            worded(
                "The row has {number} cells under {columns} headings",
                number=len(row.cells),
                columns=columns,
            ),
            why="perhaps a number has a decimal comma, or a note a comma of its own",
            instead='Put quotation marks around that cell, such as "58,5"',
        )


def _bin(row: Row, meaning: Meaning) -> str:
    said = cell(meaning.layout, row, "bin")
    if not meaning.bins:
        return meaning.bin_key
    if said.casefold() not in meaning.bins:
        raise NotUnderstood(
            worded('No bin is known for "{said}"', said=said) if said else "The row names no bin",
            instead="Say which bin is meant by what is written there",
        )
    return meaning.bins[said.casefold()]


def _temperature_c(written: str, row: Row, meaning: Meaning) -> float:
    if _FORMULA.match(written):
        raise NotUnderstood(
            worded('Temperature "{written}" is a formula, not a number', written=written[:40]),
            instead="Write the number itself, such as 58 or 58.5",
        )
    named = cell(meaning.layout, row, "unit")
    if named and is_plain_number(written):
        written = f"{written} {named}"
    # "Â°" and "¡" are what a degree sign becomes when a program mistakes the encoding.
    plain = re.sub(r"Â(?=[°º])|¡(?=\s*[CF])", "", written)
    return parse_temperature_c(plain, meaning.unit)


def _moment(row: Row, meaning: Meaning) -> tuple[datetime, datetime]:
    """Return the moment the row names (noon if it names only a day), and the one to store."""
    written = cell(meaning.layout, row, "date")
    if not written:
        raise NotUnderstood("The date is missing", instead="Write it like 2026-11-25")
    date = csv_dates.read_date(written)
    clock = cell(meaning.layout, row, "time")
    nominal, has_time = csv_dates.moment(date, clock, meaning.day_first, meaning.zone)
    today = meaning.now.astimezone(meaning.zone).date()
    if not has_time and nominal > meaning.now and nominal.astimezone(meaning.zone).date() == today:
        return nominal, meaning.now  # read this morning, and noon has not come yet
    return nominal, nominal


def _entry_id(body: Mapping[str, Any], at: datetime, repeats: Counter[str]) -> str:
    depth = f"{body['depth_m']:.3f}" if "depth_m" in body else ""
    told = "\n".join((body["bin"], at.isoformat(), f"{body['temperature_c']:.2f}", depth))
    repeats[told] += 1
    named = f"thermometer reading\n{told}\n{repeats[told]}"
    return hashlib.sha256(named.encode()).hexdigest()[:32]


def _words(row: Row, layout: Layout) -> dict[str, str]:
    """Return what the row says in words; a place that is not on our list is kept in the note."""
    said = {role: _text(cell(layout, row, role)) for role in ("where", "probe", "note")}
    if said["where"].lower() in PLACES:
        said["where"] = said["where"].lower()
    elif said["where"]:
        said["note"] = ", ".join(part for part in (said["where"], said["note"]) if part)
        said["where"] = ""
    return {role: text for role, text in said.items() if text}


def _text(written: str) -> str:
    """Drop the apostrophe that our export puts before what looks like a formula."""
    return _KEPT_FROM_FORMULA.sub("", written, count=1) if written[:1] == "'" else written
