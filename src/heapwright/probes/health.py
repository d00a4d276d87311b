"""Finds out from what a probe reported whether it is dead, stuck or loose.

Knows the signs and their limits. Reads no clock, and knows nothing of how it is told (`words.py`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from itertools import pairwise
from statistics import median

from heapwright.probes.settings import probe_limits
from heapwright.probes.types import Heard

_DAY = timedelta(days=1)


class Ill(StrEnum):
    """What is wrong with a probe."""

    NEVER_HEARD = "never heard"
    SILENT = "silent"
    STUCK = "stuck"
    JUMPS = "jumps"


@dataclass(frozen=True, slots=True)
class Trouble:
    """What is wrong with a probe, and since when.

    Attributes
    ----------
    what : Ill
    since : datetime
        For a silent one when it was heard last, for a stuck one when the value came up, for a
        loose one the last jump, for one never heard when it was entered.
    value_c : float or None
        The value it is stuck at. [°C]

    """

    what: Ill
    since: datetime
    value_c: float | None = None


def troubles(
    heard: Sequence[Heard], now: datetime, *, entered_at: datetime, others_moved_c: float | None
) -> tuple[Trouble, ...]:
    """Return what is wrong with a probe, the weightiest first; empty when it works.

    Parameters
    ----------
    heard : sequence of Heard
        Its readings where it is now, in order of time.
    now : datetime
    entered_at : datetime
        When it was put where it is.
    others_moved_c : float or None
        How far the air or the model moved in the last hours of `stuck_hours`; None when nothing is
        known of them, and then no value is called stuck. [°C]

    """
    limits = probe_limits()
    if not heard:
        given = timedelta(hours=limits["first_report_hours"])
        return (Trouble(Ill.NEVER_HEARD, entered_at),) if now - entered_at > given else ()
    found = (_silent(heard, now), _stuck(heard, now, others_moved_c), _jumping(heard, now))
    return tuple(one for one in found if one is not None)


def usual_interval(heard: Sequence[Heard]) -> timedelta:
    """Return how often a probe is heard from, by its last messages; the table's usual for few."""
    last = int(probe_limits()["usual_of_last"])
    times = sorted({one.heard_at for one in heard})[-last:]
    gaps = [(after - before).total_seconds() for before, after in pairwise(times)]
    if len(gaps) < 2:
        return timedelta(minutes=probe_limits()["report_minutes"])
    return timedelta(seconds=median(gaps))


def _silent(heard: Sequence[Heard], now: datetime) -> Trouble | None:
    limits = probe_limits()
    last = max(one.heard_at for one in heard)
    least = timedelta(hours=limits["silent_least_hours"])
    if now - last <= max(least, limits["silent_times"] * usual_interval(heard)):
        return None
    return Trouble(Ill.SILENT, last)


def _stuck(heard: Sequence[Heard], now: datetime, others_moved_c: float | None) -> Trouble | None:
    limits = probe_limits()
    if others_moved_c is None or others_moved_c < limits["stuck_moved_c"]:
        return None
    begin = now - timedelta(hours=limits["stuck_hours"])
    recent = [one for one in heard if one.at >= begin]
    # It must have been read at the window's beginning too: a few new readings prove no stillness.
    known_before = heard[0].at <= begin
    if not known_before or len(recent) < limits["stuck_least"]:
        return None
    values = [one.temperature_c for one in recent]
    if max(values) - min(values) > limits["stuck_steps"] * limits["step_c"]:
        return None
    return Trouble(Ill.STUCK, _still_since(heard), value_c=values[-1])


def _still_since(heard: Sequence[Heard]) -> datetime:
    limits = probe_limits()
    within = limits["stuck_steps"] * limits["step_c"]
    value = heard[-1].temperature_c
    since = heard[-1].at
    for one in reversed(heard):
        if abs(one.temperature_c - value) > within:
            break
        since = one.at
    return since


def _jumping(heard: Sequence[Heard], now: datetime) -> Trouble | None:
    limits = probe_limits()
    recent = [one for one in heard if now - one.at <= _DAY]
    near = timedelta(minutes=limits["jump_minutes"])
    jumps = [
        after.at
        for before, after in pairwise(recent)
        if after.at - before.at <= near
        and abs(after.temperature_c - before.temperature_c) >= limits["jump_c"]
    ]
    return Trouble(Ill.JUMPS, jumps[-1]) if len(jumps) >= limits["jumps"] else None
