"""Writes answers on the terminal: lines, lists, tables, moments, JSON.

Knows how wide the terminal is and how a table is set. Knows nothing of what is said.
"""

from __future__ import annotations

import json
import shutil
import sys
import textwrap
from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta, tzinfo
from typing import Any

from heapwright.wording import ENGLISH, Language, dated, worded
from heapwright.wording import counted as phrase

WIDEST = 88  # longer lines are hard to follow
NARROWEST = 30
LABEL = 9
_GAP = "  "
#: The language of this command's answers: one process answers one person.
_speaking: Language = ENGLISH


def speak(language: Language) -> None:
    """Answer in a language from now on."""
    global _speaking
    _speaking = language


def told(text: str) -> str:
    """Return a text in the language of the answers."""
    return _speaking.told(text)


def put(lines: Iterable[str]) -> None:
    """Write lines."""
    for line in lines:
        print(told(line))


def put_json(value: Any) -> None:
    """Write a JSON value; a number that is none is our fault and never written."""
    print(json.dumps(value, ensure_ascii=False, allow_nan=False, indent=2))


def put_long_json(value: Any) -> None:
    """Write a JSON value whose long lists of numbers stand in one line each."""
    print(_laid_out(value, ""))


def _laid_out(value: Any, indent: str) -> str:
    inner = indent + "  "
    if isinstance(value, dict) and value:
        parts = [
            f"{json.dumps(k, ensure_ascii=False)}: {_laid_out(v, inner)}" for k, v in value.items()
        ]
    elif isinstance(value, list) and any(isinstance(part, dict | list | str) for part in value):
        parts = [_laid_out(part, inner) for part in value]
    else:
        return json.dumps(value, ensure_ascii=False, allow_nan=False)
    left, right = "{}" if isinstance(value, dict) else "[]"
    body = ",".join(f"\n{inner}{part}" for part in parts)
    return f"{left}{body}\n{indent}{right}"


def width() -> int:
    """Return how many letters a line may have; without end when nobody looks on."""
    if not sys.stdout.isatty():
        return sys.maxsize
    return max(NARROWEST, min(WIDEST, shutil.get_terminal_size().columns))


def paragraph(text: str, first: str = "", rest: str | None = None) -> list[str]:
    """Return a text in lines of the terminal's width, the first and the rest indented so."""
    text, first = told(text), told(first)
    return textwrap.wrap(
        text,
        width(),
        initial_indent=first,
        subsequent_indent=" " * len(first) if rest is None else rest,
        break_long_words=False,
        break_on_hyphens=False,
    )


def bullets(texts: Iterable[str], indent: str = "") -> list[str]:
    """Return one paragraph for each text, with a dash before it."""
    return [line for text in texts for line in paragraph(text, f"{indent}- ")]


def labelled(label: str, texts: Iterable[str], indent: str = _GAP) -> list[str]:
    """Return texts one under the other beside a label; nothing when there are none."""
    lines: list[str] = []
    for text in texts:
        lines += paragraph(text, indent + (told(label) if not lines else "").ljust(LABEL))
    return lines


def table(
    rows: Sequence[Sequence[str]], headings: Sequence[str] = (), right: Sequence[int] = ()
) -> list[str]:
    """Return rows in columns, those numbered in `right` set to the right; a list if too wide."""
    everything = [[told(cell) for cell in row] for row in ([headings] if headings else [])]
    everything += [[told(cell) for cell in row] for row in rows]
    if not everything:
        return []
    widths = [max(len(row[n]) for row in everything) for n in range(len(everything[0]))]
    if sum(widths) + len(_GAP) * (len(widths) - 1) > width():
        # On a phone's width columns would fall apart; one row under the other stays readable.
        shown = everything[1:] if headings else everything
        return bullets(", ".join(cell for cell in row if cell) for row in shown)
    return [
        _GAP.join(
            cell.rjust(widths[n]) if n in right else cell.ljust(widths[n])
            for n, cell in enumerate(row)
        ).rstrip()
        for row in everything
    ]


def counted(number: float, one: str, many: str = "") -> str:
    """Return a count with its word: "1 row", "3 rows"."""
    return phrase(f"{{n}} {one}", f"{{n}} {many or f'{one}s'}", number)


def when(moment: datetime, zone: tzinfo, now: datetime) -> str:
    """Return a moment as a person says it: "today 07:40", "yesterday 18:10", "3 May 06:00"."""
    there, here = moment.astimezone(zone), now.astimezone(zone)
    if there.date() == here.date():
        return worded("today {there:%H:%M}", there=there)
    if there.date() == (here - timedelta(days=1)).date():
        return worded("yesterday {there:%H:%M}", there=there)
    if there.year == here.year:
        return dated(there, "d MMMM HH:mm")
    return dated(there, "d MMMM y HH:mm")
