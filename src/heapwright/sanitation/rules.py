"""The published rules of heat and time, and the share of a heap that has met each by the model.

Knows `rules.csv` and how parcels are held against it. Knows nothing of thermometers (`seen.py`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from heapwright.sanitation import times
from heapwright.sanitation.parcels import USUAL_PARCELS, Parcels, follow
from heapwright.sentences import Measure, Sentence, Value, say
from heapwright.tables import Evidence, read_rows

if TYPE_CHECKING:
    from heapwright.heap.types import HeapRun

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

#: Temperatures at which the equation is looked at. A parcel that met it only at one in between is
#: missed; none is counted that should not be. The commonest comes first, to save work.
EQUATION_LEVELS_C = np.array([55.0, 57.5, 60.0, 62.5, 65.0, 67.5, 70.0, 75.0, 50.0, 52.5])


class Counting(StrEnum):
    """How a rule counts its time."""

    IN_ALL = "in all"
    IN_A_ROW = "in a row"
    WARM_SPELL = "warm spell"  # in a row, and hot for some hours within it
    EQUATION = "equation"
    SUM = "sum"  # of the equation's fractions


@dataclass(frozen=True, slots=True)
class Rule:
    """One published rule; None where it does not ask for something.

    Attributes
    ----------
    id, name, system : str
    is_first : bool
        Belongs into a short answer.
    is_benchmark : bool
        Made for another kind of system than a hand-turned bin.
    counting : Counting
    low_c, high_c : float
        The time counts from the one up to the other. [°C]
    days, hot_c, hot_hours : float or None
    turnings : int or None
    c_to_n : (float, float) or None
        What the mixture must be at the start.
    source, place, note : str
    evidence : Evidence

    """

    id: str
    name: str
    system: str
    is_first: bool
    is_benchmark: bool
    counting: Counting
    low_c: float
    high_c: float
    days: float | None
    hot_c: float | None
    hot_hours: float | None
    turnings: int | None
    c_to_n: tuple[float, float] | None
    source: str
    place: str
    evidence: Evidence
    note: str

    def start_fits(self, c_to_n: float | None) -> bool | None:
        """Return whether a start C:N meets the rule; None when it is not known or not asked."""
        if self.c_to_n is None or c_to_n is None:
            return None
        return self.c_to_n[0] <= c_to_n <= self.c_to_n[1]


@dataclass(frozen=True, slots=True)
class RuleShare:
    """How much of a heap has met a rule's time and temperature, by the model; never proof.

    Attributes
    ----------
    rule_id, name : str
    share : float
        Of the dry matter that went in; the turnings and the start C:N are told apart. [0-1]
    days_wanted : float or None
    turnings_wanted : int or None
    turnings_in_hot_period : int
    start_fits : bool or None
        Whether the start C:N meets the rule; None when it asks for none or it is not known.
    is_benchmark : bool
        Made for another kind of system than a hand-turned bin.
    note : Sentence

    """

    rule_id: str
    name: str
    share: float
    days_wanted: float | None
    turnings_wanted: int | None
    turnings_in_hot_period: int
    start_fits: bool | None
    is_benchmark: bool
    note: Sentence


@cache
def load_rules() -> tuple[Rule, ...]:
    """Return every rule of the table, those that fit a hand-turned bin first."""
    return tuple(_rule(row) for row in read_rows("heapwright.sanitation", "data/rules.csv"))


def shares(
    run: HeapRun,
    start_c_to_n: float | None,
    turn_hours: Sequence[int],
    rng: np.random.Generator,
    parcels: int = USUAL_PARCELS,
) -> tuple[RuleShare, ...]:
    """Return how much of a heap has met each rule, by following its material.

    Parameters
    ----------
    run : HeapRun
    start_c_to_n : float or None
        Of the mixture as built; None when not known.
    turn_hours : sequence of int
        Hours at which it was turned or moved.
    rng : numpy Generator
    parcels : int
        How finely the material is cut.

    Returns
    -------
    tuple of RuleShare
        In the order of the table.

    """
    followed = follow(run, rng, parcels, cold_c=coldest_counted_c())
    return tuple(rule_share(rule, followed, start_c_to_n, turn_hours) for rule in load_rules())


def coldest_counted_c() -> float:
    """Return the temperature below which no rule counts anything. [°C]"""
    return min(rule.low_c for rule in load_rules())


def rule_share(
    rule: Rule, parcels: Parcels, start_c_to_n: float | None, turn_hours: Sequence[int]
) -> RuleShare:
    """Return how much of the parcels has met one rule."""
    return RuleShare(
        rule_id=rule.id,
        name=rule.name,
        share=parcels.share(met(rule, parcels)),
        days_wanted=rule.days,
        turnings_wanted=rule.turnings,
        turnings_in_hot_period=turnings_in_hot_period(rule, parcels, turn_hours),
        start_fits=rule.start_fits(start_c_to_n),
        is_benchmark=rule.is_benchmark,
        note=note_on(rule),
    )


def met(rule: Rule, parcels: Parcels) -> BoolArray:
    """Return which parcels have met the rule's time and temperature."""
    field = parcels.temperature_c
    wanted = times.HOURS_A_DAY * (rule.days or 0.0) - times.TINY
    if rule.counting is Counting.IN_ALL:
        return np.asarray(times.in_all(field, rule.low_c, rule.high_c) >= wanted)
    if rule.counting is Counting.IN_A_ROW:
        return np.asarray(times.longest(field, rule.low_c, rule.high_c) >= wanted)
    if rule.counting is Counting.WARM_SPELL:
        return times.warm_spell_with_heat(
            field, rule.low_c, round(wanted), rule.hot_c or 0.0, rule.hot_hours or 0.0
        )
    if rule.counting is Counting.EQUATION:
        return times.held(field, EQUATION_LEVELS_C)
    return np.asarray(times.dose(field) >= 1.0 - times.TINY)


def turnings_in_hot_period(rule: Rule, parcels: Parcels, turn_hours: Sequence[int]) -> int:
    """Return how many turnings fell into the time the heap's hottest place met the rule's line.

    Counted without a break, that time is its longest unbroken spell; else it reaches from the
    first hot hour to the last, so that a turn counts only when the heap was hot before and got
    hot again.
    """
    hottest = parcels.hottest_place_c
    hot = np.flatnonzero((hottest >= rule.low_c) & (hottest <= rule.high_c))
    if hot.size == 0:
        return 0
    if rule.counting in (Counting.IN_A_ROW, Counting.WARM_SPELL):
        spells = np.split(hot, np.flatnonzero(np.diff(hot) > 1) + 1)
        hot = max(spells, key=len)
    return sum(int(hot[0]) < hour < int(hot[-1]) for hour in turn_hours)


def note_on(rule: Rule) -> Sentence:
    """Return what must be known beside a rule's share."""
    if rule.counting is Counting.SUM:
        return say("The adding up is ours and stands in no rule: an estimate only.")
    if rule.is_benchmark:
        return say("Made for {system}: only a benchmark for an open bin.", system=_word(rule))
    if rule.turnings is None:
        return say("A lower aim, without turnings.")
    return say(
        "The heap is also to be turned {turnings} times while it is hot.",
        turnings=Value(rule.turnings, Measure.COUNT),
    )


def _word(rule: Rule) -> Value:
    return Value(rule.system, Measure.WORD)


def _rule(row: Mapping[str, str]) -> Rule:
    def number(name: str) -> float | None:
        return float(row[name]) if row[name] else None

    low, high = number("c_to_n_low"), number("c_to_n_high")
    turnings = number("turnings")
    return Rule(
        id=row["id"],
        name=row["name"],
        system=row["system"],
        is_first=row["shown"] == "first",
        is_benchmark=row["fits"] == "benchmark",
        counting=Counting(row["counting"]),
        low_c=float(row["low_c"]),
        high_c=float(row["high_c"] or "inf"),
        days=number("days"),
        hot_c=number("hot_c"),
        hot_hours=number("hot_hours"),
        turnings=None if turnings is None else int(turnings),
        c_to_n=None if low is None or high is None else (low, high),
        source=row["source"],
        place=row["place"],
        evidence=Evidence(row["evidence"]),
        note=row["note"],
    )
