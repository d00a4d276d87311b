"""Says how long a test takes and when a heap may be ready, in words that hold no unit of measure.

Knows wording only; used by pages and commands alike.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from heapwright.finish.types import Guide
from heapwright.wording import dated, worded
from heapwright.workshop.ready_answer import ReadyDate


def time_words(guide: Guide) -> str:
    """Return "15 minutes of work, then 7 to 14 days of waiting."."""
    work = worded("{work_minutes:g} minutes of work", work_minutes=guide.work_minutes)
    low, high = guide.wait_days
    if high == 0:
        return worded("{work}; you see it at once.", work=work)
    wait = (
        worded("{low:g} days", low=low)
        if low == high
        else worded("{low:g} to {high:g} days", low=low, high=high)
    )
    return worded("{work}, then {wait} of waiting.", work=work, wait=wait)


def date_words(date: ReadyDate) -> Iterator[str]:
    """Yield the range as days of the calendar; nothing when it is beyond a year."""
    if date.low is None or date.likely is None:
        return
    if date.high is None:
        yield worded("From {low}.", low=_day(date.low))
    else:
        yield worded("Between {low} and {high}.", low=_day(date.low), high=_day(date.high))


def _day(moment: datetime) -> str:
    return dated(moment, "d MMMM y")
