"""Finds out when a reading was taken, though the clock of a small board is often wrong.

Knows how a board's stamps are read and set right by what its clock said when it sent them. Reads no
clock itself. Stamps are RFC 3339 (sections 5.6 and 5.8) or seconds since 1970.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from heapwright.errors import NotUnderstood, OutOfRange
from heapwright.probes.settings import probe_limits
from heapwright.probes.types import Report
from heapwright.wording import worded

#: From here on a number of seconds lies beyond the year 5000: it is milliseconds.
_MILLISECONDS_FROM = 1e11
_RFC_3339 = re.compile(
    r"(\d{4}-\d{2}-\d{2})[Tt ](\d{2}:\d{2}):(\d{2})(\.\d+)?([Zz]|[+-]\d{2}:\d{2})"
)


@dataclass(frozen=True, slots=True)
class BoardClock:
    """How a board's clock stood when it sent.

    Attributes
    ----------
    behind : timedelta
        How much it was slow; negative when it was fast.
    sent_at : datetime or None
        What it showed; None when the board did not say.

    """

    behind: timedelta = timedelta(0)
    sent_at: datetime | None = None

    @property
    def is_right(self) -> bool:
        """Whether stamps are taken as they are."""
        return abs(self.behind.total_seconds()) <= probe_limits()["clock_right_s"]


def moment_of(stamp: str | float) -> datetime:
    """Return the moment that a stamp means, in UTC.

    Parameters
    ----------
    stamp : str or float
        RFC 3339 with its offset, or seconds since 1970-01-01T00:00:00Z.

    Raises
    ------
    NotUnderstood
        When it is neither.

    """
    if isinstance(stamp, str):
        return _from_text(stamp)
    if not math.isfinite(stamp) or stamp < 0:
        raise _no_moment(stamp)
    if stamp >= _MILLISECONDS_FROM:
        raise NotUnderstood(
            worded("The time {stamp:.15g} lies thousands of years ahead", stamp=stamp),
            why="it looks like milliseconds",
            instead="Send whole seconds since 1970, or a text like 2026-05-03T14:20:00Z",
        )
    return datetime.fromtimestamp(stamp, UTC)


def _from_text(stamp: str) -> datetime:
    found = _RFC_3339.fullmatch(stamp.strip())
    if found is None:
        raise _no_moment(stamp)
    day, clock, seconds, fraction, offset = found.groups()
    # A leap second (RFC 3339 section 5.7) is the second after; Python knows none.
    leap = seconds == "60"
    text = f"{day}T{clock}:{'59' if leap else seconds}{(fraction or '')[:7]}"
    try:
        when = datetime.fromisoformat(text + ("+00:00" if offset in "Zz" else offset))
        return (when + timedelta(seconds=int(leap))).astimezone(UTC)
    except (ValueError, OverflowError) as problem:
        raise _no_moment(stamp) from problem


def _no_moment(stamp: str | float) -> NotUnderstood:
    shown = f'"{stamp[:40]}"' if isinstance(stamp, str) else f"{stamp:.15g}"
    return NotUnderstood(
        worded("The time {shown} is not one", shown=shown),
        instead="Send a text like 2026-05-03T14:20:00Z, or whole seconds since 1970",
    )


def clock_of(
    sent_at: datetime | None, now: datetime, *, may_have_waited: bool = False
) -> BoardClock:
    """Return how a board's clock stands, by what it showed when it sent.

    Parameters
    ----------
    sent_at : datetime or None
        What the board's own clock showed; None when it did not say.
    now : datetime
        When it arrived, by a clock that is right.
    may_have_waited : bool, default False
        Whether the message may have lain at a broker. Then a clock that seems slow by less than
        the oldest reading is taken as right: the message was late and not the clock.

    """
    if sent_at is None:
        return BoardClock()
    behind = now - sent_at
    longest = timedelta(days=probe_limits()["oldest_days"])
    if may_have_waited and timedelta(0) < behind < longest:
        behind = timedelta(0)
    return BoardClock(behind, sent_at)


def taken_at(report: Report, clock: BoardClock, now: datetime) -> datetime:
    """Return when a reading was taken, by a clock that is right.

    Raises
    ------
    OutOfRange
        When that lies ahead, or so far back that the board's clock was never set.

    """
    limits = probe_limits()
    try:
        at = _placed(report, clock, now)
    except OverflowError:
        at = datetime.min.replace(tzinfo=UTC)
    ahead_s = (at - now).total_seconds()
    if ahead_s > limits["clock_right_s"]:
        raise OutOfRange(
            worded("A reading of {at:%Y-%m-%d %H:%M} UTC has not been taken yet", at=at),
            why=worded("now it is {now:%Y-%m-%d %H:%M} UTC", now=now.astimezone(UTC)),
            instead=_SET_THE_CLOCK,
        )
    if -ahead_s > limits["oldest_days"] * 86400:
        raise OutOfRange(
            worded("A reading of {at:%Y-%m-%d %H:%M} UTC is too old to be true", at=at),
            why="the board's clock was not set when it was taken",
            instead=_SET_THE_CLOCK,
        )
    return min(at, now)


_SET_THE_CLOCK = (
    "Send sent_at, what the board's own clock shows while it sends, beside each at; or ago_s, the "
    "seconds since each reading"
)


def _placed(report: Report, clock: BoardClock, now: datetime) -> datetime:
    if report.at is not None:
        return report.at if clock.is_right else report.at + clock.behind
    return now if report.ago_s is None else now - timedelta(seconds=report.ago_s)
