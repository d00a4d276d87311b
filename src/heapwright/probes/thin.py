"""Chooses from many readings of a probe those that are worth giving to the model or showing.

Knows windows, medians and changes. Forgets nothing: what is not chosen stays where it was stored.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import groupby

from heapwright.probes.settings import probe_limits

#: Of one place in a heap: when it was read, and the temperature. [°C]
Reading = tuple[datetime, float]


def for_model(readings: Sequence[Reading], worked_at: Sequence[datetime]) -> list[int]:
    """Return which of a probe's readings the model is given.

    Of every window of hours the reading in the middle of its values, so that a slip of one reading
    does not count; a window is cut where the heap was worked. Of the last window, which may still
    be open, it is the first reading, so that what the model was given does not change with every
    report.

    Parameters
    ----------
    readings : sequence of (datetime, float)
        Of one tip, in order of time.
    worked_at : sequence of datetime
        When the heap was built, turned, wetted or added to, in order of time.

    Returns
    -------
    list of int
        Indices, rising.

    """
    length_s = probe_limits()["model_window_hours"] * 3600

    def window(index: int) -> tuple[int, int]:
        at = readings[index][0]
        return int(at.timestamp() // length_s), bisect_right(worked_at, at)

    windows = [list(indices) for _, indices in groupby(range(len(readings)), window)]
    if not windows:
        return []
    return sorted([*(_middle(readings, one) for one in windows[:-1]), windows[-1][0]])


def _middle(readings: Sequence[Reading], window: Sequence[int]) -> int:
    """Return the index of the reading with the middle value; of two the earlier in rank."""
    ranked = sorted(window, key=lambda index: (readings[index][1], index))
    return ranked[(len(ranked) - 1) // 2]


def for_proof(readings: Sequence[Reading]) -> list[int]:
    """Return which of a probe's readings the proof of heat is given: the coldest of each window.

    So no hour counts as hot that the probe did not show hot throughout.

    Parameters
    ----------
    readings : sequence of (datetime, float)
        Of one tip, in order of time.

    Returns
    -------
    list of int
        Indices, rising.

    """
    length_s = probe_limits()["proof_window_hours"] * 3600
    windows = groupby(
        range(len(readings)), lambda index: int(readings[index][0].timestamp() // length_s)
    )
    return [min(indices, key=lambda index: readings[index][1]) for _, indices in windows]


def for_showing(readings: Sequence[Reading], change_c: float, longest: timedelta) -> list[int]:
    """Return which of a probe's readings are shown: those that tell something new.

    The first and the last; each that differs enough from the one shown before, with the one just
    before it, so that a step stays a step; and one every few hours.

    Parameters
    ----------
    readings : sequence of (datetime, float)
        Of one tip, in order of time.
    change_c : float
        What is enough. [°C]
    longest : timedelta
        After which one is shown even if nothing changed.

    Returns
    -------
    list of int
        Indices, rising.

    """
    if not readings:
        return []
    chosen = [0]
    for index in range(1, len(readings)):
        at, value = readings[index]
        before_at, before = readings[chosen[-1]]
        is_new = abs(value - before) >= change_c
        if is_new and chosen[-1] < index - 1 and abs(value - readings[index - 1][1]) >= change_c:
            chosen.append(index - 1)
        if is_new or at - before_at >= longest:
            chosen.append(index)
    last = len(readings) - 1
    return chosen if chosen[-1] == last else [*chosen, last]
