"""Knows a reading again that arrives twice: its id comes from what it says and not from chance.

Knows which readings are the same. Knows nothing of a journal: what is stored is asked of `Stored`.

A board whose message was not answered sends it again, brokers deliver more than once, and late ones
arrive in any order. With a clock that is right, its stamp and value tell a reading. A clock that
begins anew after each loss of power shows the same stamps again, so there the moment of sending
tells too. Without a stamp, or sent anew with another, the same value at nearly the same time is the
same reading.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Protocol

from heapwright.probes.clock import BoardClock
from heapwright.probes.settings import probe_limits
from heapwright.probes.types import Report


class Stored(Protocol):
    """What is stored of one probe."""

    def has(self, entry_id: str) -> bool:
        """Return whether a reading with this id is stored."""

    def has_near(self, report: Report, at: datetime, within: timedelta) -> bool:
        """Return whether one of the same value and depth is stored, so near in time."""


@dataclass(frozen=True, slots=True)
class Identity:
    """The id of a reading, and whether it is stored already."""

    entry_id: str
    is_stored: bool


def identity(
    probe_key: str,
    report: Report,
    at: datetime,
    clock: BoardClock,
    stored: Stored,
    *,
    is_repeat: bool = False,
) -> Identity:
    """Return the id of a reading.

    Parameters
    ----------
    probe_key : str
    report : Report
    at : datetime
        When it was taken, as found out (`clock.taken_at`).
    clock : BoardClock
    stored : Stored
    is_repeat : bool
        Whether whoever delivered it says that it did so before.

    """
    says = _what_it_says(report)
    if report.own_id:
        one = _id(probe_key, "own", report.own_id)
        return Identity(one, stored.has(one))
    if report.at is not None and clock.is_right:
        one = _id(probe_key, _stamp(report.at), says)
        return Identity(one, stored.has(one))
    if report.at is not None:
        sent = "" if clock.sent_at is None else _stamp(clock.sent_at)
        one = _id(probe_key, _stamp(report.at), says, sent)
        told_before = stored.has(one) or stored.has(_id(probe_key, _stamp(report.at), says))
    else:
        one = _id(probe_key, "at", _stamp(at), says)
        told_before = stored.has(one)
    within = _near(is_repeat and not report.has_time)
    return Identity(one, told_before or stored.has_near(report, at, within))


def _near(may_be_old: bool) -> timedelta:
    limits = probe_limits()
    return timedelta(seconds=limits["repeated_s" if may_be_old else "same_reading_s"])


def _what_it_says(report: Report) -> str:
    depth = "" if report.depth_m is None else f"{report.depth_m:.4f}"
    return f"{report.temperature_c:.4f}@{depth}"


def _stamp(at: datetime) -> str:
    return at.astimezone(UTC).isoformat(timespec="microseconds")


def _id(*parts: str) -> str:
    return hashlib.sha256("\x1f".join(("probe", *parts)).encode()).hexdigest()[:32]
