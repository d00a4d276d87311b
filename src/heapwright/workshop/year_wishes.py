"""Writes down how a person wants to work through the year, and when they are away.

Knows the entries; knows nothing of plans or forms.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import date
from typing import Any

from heapwright.errors import NotFound
from heapwright.journal.entries import BinState, EntryKind
from heapwright.journal.entries_year import AwayState
from heapwright.season.rotation_weights import usual_work_rates
from heapwright.wording import worded
from heapwright.workshop.answers import LogAnswer
from heapwright.workshop.beds import today_in
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log


def save_wishes(
    garden: Garden, wishes: Mapping[str, Any], *, origin: str, entry_id: str | None = None
) -> LogAnswer:
    """Write down wishes; only those that are given change. SI units, see `WishesState`."""
    return log(garden, EntryKind.WISHES, dict(wishes), origin=origin, entry_id=entry_id)


def go_away(
    garden: Garden,
    from_date: date,
    to_date: date,
    *,
    origin: str,
    why: str = "",
    entry_id: str | None = None,
) -> LogAnswer:
    """Write down days, both ends among them, on which nobody works at the heaps."""
    body = {
        "key": from_date.isoformat(),
        "from_date": from_date.isoformat(),
        "to_date": to_date.isoformat(),
        **({"why": why} if why else {}),
    }
    return log(garden, EntryKind.AWAY, body, origin=origin, entry_id=entry_id)


def be_there(garden: Garden, key: str, *, origin: str, entry_id: str | None = None) -> LogAnswer:
    """Take days away off the list.

    Raises
    ------
    NotFound
        If none of that key are on it.

    """
    there = aways(garden)
    if key not in [one.key for one in there]:
        known = ", ".join(one.key for one in there) or worded("none")
        raise NotFound(
            worded('No days away are called "{key}"', key=key),
            instead=worded("On the list: {known}", known=known),
        )
    return log(garden, EntryKind.AWAY_GONE, {"away": key}, origin=origin, entry_id=entry_id)


def loads_per_week(garden: Garden) -> float:
    """Return the barrow loads a week that are planned with.

    While nobody said how many, at least so many that the largest bin can be filled in a week.
    """
    year = garden.state().year
    if year.has_wishes:
        return year.wishes.loads_per_week
    return max(year.wishes.loads_per_week, float(math.ceil(loads_to_fill(garden))))


def loads_to_fill(garden: Garden) -> float:
    """Return the barrow loads that the largest bin takes to fill; 0 without any."""
    rates = usual_work_rates()
    rooms = [bin_volume_m3(one) for one in garden.state().bins_in_use.values()]
    return max(rooms, default=0.0) / rates.barrow_m3 * rates.build


def bin_volume_m3(bin_state: BinState) -> float:
    """Return what a bin holds when it is full. [m³]"""
    return bin_state.width_m * bin_state.depth_m * bin_state.height_m


def aways(garden: Garden) -> tuple[AwayState, ...]:
    """Return the days away that are not over yet, the nearest first."""
    today = today_in(garden)
    there = [
        one for one in garden.state().year.aways.values() if one.in_use and one.to_date >= today
    ]
    return tuple(sorted(there, key=lambda one: one.from_date))
