"""Takes everything out of the journal as one JSON file, readings as CSV, and reads JSON back.

Knows the two file forms. Knows nothing of the database; what a file holds is checked as if a
person had just written it.

The form `heapwright-journal`, version 1, UTF-8:

    {"format": "heapwright-journal", "version": 1, "entries": [
      {"id": "<32 hexadecimal digits>", "kind": "reading", "at": "2026-05-03T14:20:00+00:00",
       "written_at": "2026-05-03T14:21:10+00:00", "author": "", "origin": "page",
       "body": {"bin": "left", "temperature_c": 58.5}}, ...]}

Entries stand in the order in which they arrived; bodies hold SI units, by kind as in `forms.py`.
Undone and corrected entries are in it with the entries that undid and corrected them.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from heapwright.errors import HeapwrightError, NotUnderstood, UnreadableFile
from heapwright.journal import fields
from heapwright.journal.bodies import checked_entry
from heapwright.journal.entries import Entry, EntryKind
from heapwright.journal.fold import fold
from heapwright.journal.undo import settle
from heapwright.quantities import TemperatureUnit, temperature_in
from heapwright.wording import worded

FORMAT = "heapwright-journal"
VERSION = 1

# A cell that begins so is a formula to a spreadsheet: =, +, -, @, their wide forms, tab and
# line ends (OWASP, "CSV Injection").
_FORMULA_SIGNS = ("=", "+", "-", "@", "＝", "＋", "－", "＠", "\t", "\r", "\n")

_ENTRY_FIELDS = ("id", "kind", "at", "body", "written_at", "author", "origin")
_MAY_BE_LEFT_OUT = ("author", "origin")


@dataclass(frozen=True, slots=True)
class ReadBack:
    """What a file held: good entries in its order, and a sentence for each one left out."""

    entries: tuple[Entry, ...]
    problems: tuple[str, ...]


def export_json(entries: Iterable[Entry]) -> str:
    """Return every entry as the text of one file of the form `heapwright-journal`."""
    rows = [_as_row(entry) for entry in entries]
    # One entry a line: people can read it, and line-by-line tools can compare two exports.
    body = ",\n".join(json.dumps(row, ensure_ascii=False, allow_nan=False) for row in rows)
    head = f'{{"format": {json.dumps(FORMAT)}, "version": {VERSION}, "entries": ['
    return f"{head}\n{body}\n]}}\n" if rows else f"{head}]}}\n"


def read_json(data: bytes | str) -> ReadBack:
    """Return the entries of such a file.

    Storing them (`Journal.append`) any number of times stores each once.

    Raises
    ------
    UnreadableFile
        When the file is not of this form, or of a newer version.

    """
    document = _document(data)
    rows = document.get("entries")
    if not isinstance(rows, list):
        raise UnreadableFile("The file has no list of entries", instead="Export the journal again")
    entries, problems = [], []
    for number, row in enumerate(rows, start=1):
        try:
            entries.append(_from_row(row))
        except HeapwrightError as problem:
            problems.append(
                worded(
                    "Entry {number} of {number_2} was left out: {what}.",
                    number=number,
                    number_2=len(rows),
                    what=problem.what,
                )
            )
    return ReadBack(tuple(entries), tuple(problems))


def readings_csv(entries: Iterable[Entry], unit: TemperatureUnit = TemperatureUnit.C) -> str:
    """Return every reading that counts as CSV for a spreadsheet, undo and correct applied.

    Text that a spreadsheet would take for a formula gets an apostrophe in front.
    """
    everything = tuple(entries)
    garden = fold(everything)
    batch_of = {e.id: batch.name for batch in garden.batches.values() for e in batch.entries}
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\r\n")
    table.writerow((*_HEADINGS[:3], worded("Temperature (°{unit})", unit=unit), *_HEADINGS[3:]))
    for entry in settle(everything).entries:
        if entry.kind is EntryKind.READING:
            there = garden.bins.get(entry.body["bin"])
            name = there.name if there else entry.body["bin"]
            table.writerow(_reading_cells(entry, name, batch_of.get(entry.id, ""), unit))
    return out.getvalue()


_HEADINGS = ("Time (UTC)", "Bin", "Batch", "Depth (m)", "Where", "Probe", "Note", "Entry")


def _reading_cells(entry: Entry, bin_name: str, batch: str, unit: TemperatureUnit) -> list[str]:
    body = entry.body
    return [
        f"{entry.at.astimezone(UTC):%Y-%m-%dT%H:%M:%SZ}",
        _safe(bin_name),
        _safe(batch),
        f"{temperature_in(body['temperature_c'], unit):.7g}",
        f"{body['depth_m']:.4g}" if "depth_m" in body else "",
        body.get("where", ""),
        _safe(body.get("probe", "")),
        _safe(body.get("note", "")),
        entry.id,
    ]


def _safe(text: str) -> str:
    return f"'{text}" if text.startswith(_FORMULA_SIGNS) else text


def _as_row(entry: Entry) -> dict[str, Any]:
    return {
        "id": entry.id,
        "kind": str(entry.kind),
        "at": entry.at.astimezone(UTC).isoformat(),
        "written_at": entry.written_at.astimezone(UTC).isoformat(),
        "author": entry.author,
        "origin": entry.origin,
        "body": dict(entry.body),
    }


def _document(data: bytes | str) -> Mapping[str, Any]:
    try:
        text = data.decode("utf-8-sig") if isinstance(data, bytes) else data
        document = json.loads(text, parse_constant=_no_number)
    except UnicodeDecodeError as problem:
        raise _not_ours("it is not text in UTF-8") from problem
    except (ValueError, RecursionError) as problem:
        raise _not_ours(worded("it is not JSON: {problem}", problem=str(problem)[:80])) from problem
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        raise _not_ours(f'it does not say "format": "{FORMAT}"')
    if document.get("version") != VERSION:
        raise UnreadableFile(
            worded("The file is of version {shown}", shown=fields.shown(document.get("version"))),
            why=worded("this Heapwright reads version {version}", version=VERSION),
            instead="Install the newer Heapwright that wrote it",
        )
    return document


def _no_number(word: str) -> float:
    raise ValueError(f"{word} is not a number")


def _not_ours(why: str) -> UnreadableFile:
    return UnreadableFile(
        "The file is not an exported journal", why=why, instead="Choose a file made by export"
    )


def _from_row(row: Any) -> Entry:
    if not isinstance(row, dict):
        raise NotUnderstood(worded("{shown} is not an entry", shown=fields.shown(row)))
    unknown = [name for name in row if name not in _ENTRY_FIELDS]
    missing = [name for name in _ENTRY_FIELDS if name not in row and name not in _MAY_BE_LEFT_OUT]
    if unknown or missing:
        said = (
            worded("has an unknown field {unknown}", unknown=unknown[0])
            if unknown
            else worded("lacks {missing}", missing=missing[0])
        )
        raise NotUnderstood(worded("The entry {said}", said=said))
    return checked_entry(
        Entry(
            id=row["id"],
            kind=fields.choice(EntryKind)("Kind of entry", row["kind"]),
            at=_moment("When it happened", row["at"]),
            body=row["body"],
            written_at=_moment("When it was written", row["written_at"]),
            author=row.get("author", ""),
            origin=row.get("origin", "import"),
        )
    )


def _moment(label: str, value: Any) -> datetime:
    return datetime.fromisoformat(fields.moment(label, value))
