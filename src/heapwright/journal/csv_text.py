"""Turns the bytes of a CSV file into numbered rows of cells: encoding, delimiter, quotes.

Knows how spreadsheets and loggers write such files. Knows nothing of dates or temperatures.
"""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections import Counter
from dataclasses import dataclass

from heapwright.errors import UnreadableFile
from heapwright.wording import worded

#: More than years of readings every minute: what is larger is not a thermometer's log.
LARGEST_BYTES = 20_000_000

_DELIMITERS = "\t;|,"
_LOOKED_AT = 60  # lines that decide on the delimiter
_LETTERS_LOOKED_AT = 2000  # of each
_NOT_TEXT = re.compile(r"[\x00-\x08\x0b\x0e-\x1f\x7f-\x84\x86-\x9f]")

# How files of other programs begin (their published signatures), and what to do instead.
_SIGNATURES = (
    (b"PK\x03\x04", "a spreadsheet's workbook or another packed file"),
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet's workbook"),
    (b"%PDF", "a PDF"),
    (b"\x1f\x8b", "a packed file"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"SQLite format 3\x00", "a database"),
)
_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig", "UTF-8"),
    (codecs.BOM_UTF32_LE, "utf-32", "UTF-32"),
    (codecs.BOM_UTF32_BE, "utf-32", "UTF-32"),
    (codecs.BOM_UTF16_LE, "utf-16", "UTF-16"),
    (codecs.BOM_UTF16_BE, "utf-16", "UTF-16"),
)


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the file; `line` is the line it begins on, counted from 1."""

    line: int
    cells: tuple[str, ...]

    @property
    def is_blank(self) -> bool:
        """Whether no cell holds anything."""
        return not any(self.cells)


@dataclass(frozen=True, slots=True)
class CsvText:
    """A file's rows, and how it was read."""

    rows: tuple[Row, ...]
    encoding: str
    delimiter: str
    said: tuple[str, ...]  # what the person should look at


def read_csv(data: bytes) -> CsvText:
    """Return the rows of a CSV file with their line numbers.

    Raises
    ------
    UnreadableFile
        When it is no text: a workbook, a picture, an unknown encoding; or empty, or far too large.

    """
    text, encoding, said = _decode(data)
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    if not text.strip():
        raise UnreadableFile("The file is empty", instead="Choose the file with the readings")
    delimiter, text = _delimiter(text)
    rows, untidy = _rows(text, delimiter)
    if all(row.is_blank for row in rows):
        raise UnreadableFile("The file has no filled cell", instead="Choose another file")
    if untidy:
        said = (*said, "Quotation marks in the file do not pair up; each line was read as one row.")
    return CsvText(rows, encoding, delimiter, said)


def _decode(data: bytes) -> tuple[str, str, tuple[str, ...]]:
    if len(data) > LARGEST_BYTES:
        raise UnreadableFile(
            worded("The file is {number:.0f} MB large", number=len(data) / 1000000.0),
            why=worded(
                "a thermometer's log has less than {largest_bytes:.0f} MB",
                largest_bytes=LARGEST_BYTES / 1000000.0,
            ),
            instead="Choose the file with the readings, or split it by years",
        )
    for beginning, what in _SIGNATURES:
        if data.startswith(beginning):
            raise _not_text(f"it is {what}")
    codec, name = _by_mark_or_pattern(data)
    try:
        return _checked(data.decode(codec)), name, ()
    except UnicodeDecodeError as problem:
        if codec != "utf-8":
            raise _not_text(worded("it says it is {name}, but is not", name=name)) from problem
    try:
        text = _checked(data.decode("cp1252"))
    except UnicodeDecodeError as problem:
        raise _not_text("its letters are in no encoding known here") from problem
    return text, "Windows-1252", (_LOOK_AT_LETTERS,)


_LOOK_AT_LETTERS = (
    "The file is not in UTF-8; it was read as Windows-1252 (Latin-1). Look whether letters such as "
    "ä or é in the notes are right."
)


def _by_mark_or_pattern(data: bytes) -> tuple[str, str]:
    """Return codec and name by the mark at the beginning, else by where the zero bytes lie."""
    for mark, codec, name in _MARKS:
        if data.startswith(mark):
            return codec, name
    even, odd = data[0:2000:2].count(0), data[1:2000:2].count(0)
    quarter = len(data[:2000]) / 4
    if odd > quarter and not even:
        return "utf-16-le", "UTF-16"
    if even > quarter and not odd:
        return "utf-16-be", "UTF-16"
    return "utf-8", "UTF-8"


def _checked(text: str) -> str:
    if _NOT_TEXT.search(text):
        raise _not_text("it holds signs that are no letters")
    return text


def _not_text(why: str) -> UnreadableFile:
    return UnreadableFile(
        "The file is not a CSV file",
        why=why,
        instead='In the spreadsheet choose "Save as", then "CSV" (UTF-8), and import that file',
    )


def _delimiter(text: str) -> tuple[str, str]:
    """Return the delimiter and the text without a first line that only names it ("sep=;")."""
    first, _, rest = text.partition("\n")
    named = re.fullmatch(r'"?sep=(.)"?\s*', first.strip(" "))
    if named and named[1] in _DELIMITERS:
        return named[1], "\n" + rest  # the line is kept so that line numbers stay right
    lines = [line[:_LETTERS_LOOKED_AT] for line in text.split("\n")[:_LOOKED_AT] if line.strip()]
    return max(_DELIMITERS, key=lambda sign: _fit(lines, sign)), text


def _fit(lines: list[str], sign: str) -> tuple[float, int]:
    """How well a sign divides the lines: share of lines with the commonest count, then cells."""
    counts = Counter(len(cells) for cells in csv.reader(lines, delimiter=sign) if cells)
    divided = {cells: lines for cells, lines in counts.items() if cells > 1}
    if not divided:
        return (0.0, 0)
    cells, often = max(divided.items(), key=lambda item: (item[1], item[0]))
    return (often / counts.total(), cells)


def _rows(text: str, delimiter: str) -> tuple[tuple[Row, ...], bool]:
    """Return the rows, and whether quotation marks did not pair up."""
    try:
        rows = tuple(_read(text, delimiter))
    except csv.Error:
        rows = ()
    width = Counter(len(row.cells) for row in rows).most_common(1)[0][0] if rows else 0
    if rows and not any(_swallowed(row, delimiter, width) for row in rows):
        return rows, False
    apart = (line.replace('"', "").split(delimiter) for line in text.split("\n"))
    return tuple(_row(number, cells) for number, cells in enumerate(apart, start=1)), True


def _read(text: str, delimiter: str) -> list[Row]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows, line = [], 1
    for cells in reader:
        rows.append(_row(line, cells))
        line = reader.line_num + 1
    return rows


def _row(line: int, cells: list[str]) -> Row:
    # A no-break space around a number is a blank like any other.
    return Row(line, tuple(cell.replace("\xa0", " ").strip() for cell in cells))


def _swallowed(row: Row, delimiter: str, width: int) -> bool:
    """Whether a cell of several lines holds what looks like whole rows: a stray quotation mark."""
    return any(
        line.count(delimiter) >= max(1, width - 1)
        for cell in row.cells
        if "\n" in cell
        for line in cell.split("\n")[1:]
    )
