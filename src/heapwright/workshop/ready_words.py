"""Says how long a test takes and when a heap may be ready, in words that hold no unit of measure.

Knows wording only; used by pages and commands alike.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from heapwright.finish.types import Guide
from heapwright.workshop.ready_answer import ReadyDate


def time_words(guide: Guide) -> str:
    """Return "15 minutes of work, then 7 to 14 days of waiting."."""
    work = f"{guide.work_minutes:g} minutes of work"
    low, high = guide.wait_days
    if high == 0:
        return f"{work}; you see it at once."
    wait = f"{low:g} days" if low == high else f"{low:g} to {high:g} days"
    return f"{work}, then {wait} of waiting."


def date_words(date: ReadyDate) -> Iterator[str]:
    """Yield the range as days of the calendar; nothing when it is beyond a year."""
    if date.low is None or date.likely is None:
        return
    if date.high is None:
        yield f"From {_day(date.low)}."
    else:
        yield f"Between {_day(date.low)} and {_day(date.high)}."


def _day(moment: datetime) -> str:
    return f"{moment.day} {moment:%B %Y}"
