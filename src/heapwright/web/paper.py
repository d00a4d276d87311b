"""The paper log for pencil: which sheets, and which days stand on each.

Knows months and rows. Knows nothing of what is written there.
"""

from __future__ import annotations

import calendar
import re
from dataclasses import dataclass
from datetime import date

from heapwright.errors import NotUnderstood
from heapwright.journal.entries import BinState
from heapwright.wording import worded

#: So many rows of 12.5 mm, high enough for a gloved hand (ours), fit a sheet of A4 or Letter.
ROWS_ON_A_SHEET = 16
_MONTH = re.compile(r"(\d{4})-(\d{2})")


@dataclass(frozen=True, slots=True)
class Sheet:
    """One side of paper for one bin."""

    bin: BinState
    days: tuple[date | None, ...]  # None is an empty row


def month_of(text: str, today: date) -> date:
    """Return the first day of the month asked for, "2026-06"; today's month when nothing is.

    Raises
    ------
    NotUnderstood

    """
    if text == "":
        return today.replace(day=1)
    found = _MONTH.fullmatch(text)
    if found and 1 <= int(found[2]) <= 12 and int(found[1]) >= 1:
        return date(int(found[1]), int(found[2]), 1)
    raise NotUnderstood(
        worded('"{text}" is not a month', text=text[:20]), instead="Write it like 2026-06", kept=""
    )


def sheets(bins: tuple[BinState, ...], month: date) -> tuple[Sheet, ...]:
    """Return the sheets of a month for each bin, the last rows empty for a second visit."""
    length = calendar.monthrange(month.year, month.month)[1]
    days: list[date | None] = [month.replace(day=day) for day in range(1, length + 1)]
    days += [None] * (-len(days) % ROWS_ON_A_SHEET)
    return tuple(
        Sheet(one, tuple(days[first : first + ROWS_ON_A_SHEET]))
        for one in bins
        for first in range(0, len(days), ROWS_ON_A_SHEET)
    )
