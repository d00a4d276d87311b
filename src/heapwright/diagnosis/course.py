"""Reads the log for signs: how the heap's heat ran, how old it is, the air's week, its size.

Knows plain readings and moments. A sign that the log does not tell is left out. Knows no journal.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from heapwright.diagnosis.tables import limits, signs
from heapwright.diagnosis.types import FloatArray


@dataclass(frozen=True, slots=True)
class Read:
    """A core reading with the air's temperature around it."""

    day: float
    temperature_c: float
    air_c: float | None


@dataclass(frozen=True, slots=True)
class Log:
    """What a heap's log tells, in days since it was built.

    Attributes
    ----------
    now_day : float
    reads : tuple of Read
        Core readings that are believed, oldest first.
    turn_days : tuple of float
    air_week_c : float or None
        Mean air of the last seven days. [°C]
    volume_m3 : float or None

    """

    now_day: float
    reads: tuple[Read, ...]
    turn_days: tuple[float, ...]
    air_week_c: float | None
    volume_m3: float | None


def log_witnesses(log: Log) -> dict[str, FloatArray]:
    """Return what the log says of each sign; signs it does not tell are left out."""
    told = {
        "course": course(log),
        "reheat": reheat(log),
        "age": age(log.now_day),
        "air": _class(log.air_week_c, ("frosty_c", "cold_c"), ("frosty", "cold", "mild")),
        "size": _class(log.volume_m3, ("tiny_m3", "small_m3"), ("tiny", "small", "good")),
    }
    table = signs()
    return {name: table[name].one(outcome) for name, outcome in told.items() if outcome}


def course(log: Log) -> str:
    """Return how the heat ran so far; "" when the readings do not tell.

    The newest reading must be fresh. A heap cooler than hot within the days it is given after
    building or turning is "young", whatever it will do. A hot heap that has fallen fell early or
    late by the days since it was built or last turned.
    """
    table = limits()
    since_work = log.now_day - max((0.0, *log.turn_days))
    newest = log.reads[-1] if log.reads else None
    if newest is None or log.now_day - newest.day > table["fresh_days"]:
        # Too young to have heated needs no reading.
        return "young" if log.now_day < table["wait_days"] and newest is None else ""
    if newest.temperature_c >= table["hot_c"]:
        return "too hot" if newest.temperature_c >= table["too_hot_c"] else "hot"
    if since_work < table["wait_days"]:
        return "young"
    return _cooled(log, newest, table)


def _cooled(log: Log, newest: Read, table: Mapping[str, float]) -> str:
    hot = [one.day for one in log.reads if one.temperature_c >= table["hot_c"]]
    if hot:
        if newest.temperature_c >= table["wants_air_c"]:
            return "hot"
        return "fell early" if hot[-1] <= table["early_days"] else "cooled late"
    if newest.air_c is None:
        return ""
    above = newest.temperature_c - newest.air_c
    return "never warm" if above < table["near_air_k"] else "lukewarm"


def reheat(log: Log) -> str:
    """Return whether a heap that had been hot got hot again after its last turn; "" if untold."""
    table = limits()
    if not log.turn_days:
        return ""
    turned = log.turn_days[-1]
    before = [one for one in log.reads if one.day < turned]
    after = [one for one in log.reads if turned < one.day]
    was_hot = any(one.temperature_c >= table["hot_c"] for one in before)
    if not was_hot or not after:
        return ""
    if any(one.temperature_c >= table["hot_c"] for one in after):
        return "reheated"
    return "stayed cool" if after[-1].day - turned >= table["wait_days"] else ""


def age(days: float) -> str:
    """Return the class of a heap's age."""
    return _class(days, ("weeks_from_days", "months_from_days"), ("days", "weeks", "months"))


def _class(value: float | None, edges: Sequence[str], names: Sequence[str]) -> str:
    """Return the name of the class a value lies in; "" when it is not known."""
    if value is None:
        return ""
    table = limits()
    return names[sum(value >= table[edge] for edge in edges)]
