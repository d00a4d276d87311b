"""Lays out what else could be done with a heap: one bar a thing, and every number in a table.

Knows how long a bar is and where nothing gained lies. Knows nothing of how the numbers came about.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from heapwright.advice.types import Interval
from heapwright.workshop.whatif_answer import WhatIf, WhatIfRow

#: The drawing's width, and room kept free at both ends for the ring of the likely value.
WIDTH, MARGIN = 300, 10
#: The scale never shows less than this to either side, so that small gains look small. [days]
LEAST_SHOWN_DAYS = 2.0


@dataclass(frozen=True, slots=True)
class Bar:
    """Where a gain's range, its likely value and nothing gained lie on the drawing."""

    low: float
    likely: float
    high: float
    zero: float


@dataclass(frozen=True, slots=True)
class RowShown:
    """One thing that could be done, with its bar."""

    row: WhatIfRow
    bar: Bar


@dataclass(frozen=True, slots=True)
class WhatIfPage:
    """Everything the section shows."""

    answer: WhatIf
    rows: tuple[RowShown, ...]


def what_if_page(answer: WhatIf) -> WhatIfPage:
    """Return the section's layout; all bars share one scale."""
    low, high = _scale([row.better_days for row in answer.rows])
    return WhatIfPage(
        answer, tuple(RowShown(row, _bar(row.better_days, low, high)) for row in answer.rows)
    )


def _scale(gains: Sequence[Interval]) -> tuple[float, float]:
    low = min([-LEAST_SHOWN_DAYS, *(one.low for one in gains)])
    return low, max([LEAST_SHOWN_DAYS, *(one.high for one in gains)])


def _bar(gain: Interval, low: float, high: float) -> Bar:
    def place(days: float) -> float:
        return round(MARGIN + (WIDTH - 2 * MARGIN) * (days - low) / (high - low), 1)

    return Bar(place(gain.low), place(gain.likely), place(gain.high), place(0.0))
