"""How much time a thermometer's readings prove hot, rule by rule; nothing is said in words here.

Knows readings, turns and how time between readings may be counted: the hours between two readings
next to each other count when both were hot enough and they were taken on the same day or on two
days that follow each other. A day left out counts for nothing, and so does a single hot reading.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

from heapwright.sanitation.equations import HOLDING_FROM_C, holding_days
from heapwright.sanitation.rules import Counting, Rule

#: Where a reading must have been taken to speak of the core.
CORE = ("", "core")
#: At which temperature the equation is told as an example: the line of most rules.
EXAMPLE_C = 55.0
#: Rounding that must not decide.
TINY_HOURS = 1e-9
HOURS_A_DAY = 24.0
_HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class SeenReading:
    """A reading of the thermometer.

    Attributes
    ----------
    at : datetime
        In the garden's own time, so that its date is the gardener's day.
    temperature_c : float
    where : str
        "core" or "" for the core, else another place.

    """

    at: datetime
    temperature_c: float
    where: str = "core"


@dataclass(frozen=True, slots=True)
class Stretch:
    """The time between two readings that may be counted together; both ends in UTC."""

    start: datetime
    end: datetime
    coolest_c: float

    @property
    def hours(self) -> float:
        """Length. [h]"""
        return (self.end - self.start) / _HOUR


def core_readings(readings: Sequence[SeenReading]) -> tuple[SeenReading, ...]:
    """Return the readings of the core in order of time, of several at one moment the coolest."""
    coolest: dict[datetime, SeenReading] = {}
    for reading in readings:
        known = coolest.get(reading.at)
        if reading.where in CORE and (known is None or reading.temperature_c < known.temperature_c):
            coolest[reading.at] = reading
    return tuple(coolest[at] for at in sorted(coolest))


def spells(
    core: Sequence[SeenReading], low_c: float, high_c: float = math.inf
) -> list[list[Stretch]]:
    """Return the stretches that count within a band, in unbroken spells.

    Parameters
    ----------
    core : sequence of SeenReading
        In order of time.
    low_c, high_c : float
        Both ends count.

    """
    found: list[list[Stretch]] = [[]]
    for one, other in pairwise(core):
        near = (other.at.date() - one.at.date()).days <= 1
        low, high = sorted((one.temperature_c, other.temperature_c))
        if near and low_c <= low and high <= high_c:
            found[-1].append(Stretch(one.at.astimezone(UTC), other.at.astimezone(UTC), low))
        else:
            found.append([])
    return [spell for spell in found if spell]


def proven_hours(rule: Rule, core: Sequence[SeenReading]) -> tuple[float, float]:
    """Return the hours that readings of the core, in order of time, prove, and those wanted."""
    return _TIMES[rule.counting](rule, core)


def hours_going_on(rule: Rule, core: Sequence[SeenReading], today: date | None) -> float:
    """Return the length of the unbroken spell that the next reading can still lengthen. [h]

    None goes on when the last reading was not hot, or is older than yesterday.
    """
    found = spells(core, rule.low_c, rule.high_c)
    if not found or found[-1][-1].end != core[-1].at:
        return 0.0
    if today is not None and (today - core[-1].at.date()).days > 1:
        return 0.0
    return _hours_of(found[-1])


def proven_turnings(rule: Rule, core: Sequence[SeenReading], turns: Sequence[datetime]) -> int:
    """Return the turnings between the first and last hot reading, or within the longest spell."""
    if rule.counting in (Counting.IN_A_ROW, Counting.WARM_SPELL):
        longest = max(spells(core, rule.low_c, rule.high_c), key=_hours_of, default=[])
        hot = [at for stretch in longest for at in (stretch.start, stretch.end)]
    else:
        hot = [r.at for r in core if rule.low_c <= r.temperature_c <= rule.high_c]
    return sum(hot[0] <= turn <= hot[-1] for turn in turns) if hot else 0


def was_hot_within(rule: Rule, core: Sequence[SeenReading]) -> bool:
    """Whether some window of the rule's days, all of it warm, held its hours of heat."""
    window = timedelta(days=rule.days or 0.0)
    hot = [s for spell in spells(core, rule.hot_c or 0.0) for s in spell]
    for spell in spells(core, rule.low_c):
        for begin in _windows(spell, hot, window):
            if _overlap(hot, begin, begin + window) >= (rule.hot_hours or 0.0) - TINY_HOURS:
                return True
    return False


def _windows(
    spell: Sequence[Stretch], hot: Sequence[Stretch], window: timedelta
) -> Iterator[datetime]:
    """Yield where a window within the spell may begin; the one with most heat is among them."""
    first, last = spell[0].start, spell[-1].end - window
    begins = (first, last, *(s.start for s in hot), *(s.end - window for s in hot))
    return (begin for begin in begins if first <= begin <= last)


def _overlap(hot: Sequence[Stretch], begin: datetime, end: datetime) -> float:
    return sum(max(0.0, (min(s.end, end) - max(s.start, begin)) / _HOUR) for s in hot)


def _hours_of(spell: Sequence[Stretch]) -> float:
    return sum(stretch.hours for stretch in spell)


def _in_all(rule: Rule, core: Sequence[SeenReading]) -> tuple[float, float]:
    found = spells(core, rule.low_c, rule.high_c)
    return sum(map(_hours_of, found)), HOURS_A_DAY * (rule.days or 0.0)


def _in_a_row(rule: Rule, core: Sequence[SeenReading]) -> tuple[float, float]:
    found = spells(core, rule.low_c, rule.high_c)
    return max(map(_hours_of, found), default=0.0), HOURS_A_DAY * (rule.days or 0.0)


def _by_equation(rule: Rule, core: Sequence[SeenReading]) -> tuple[float, float]:
    """Return the longest unbroken time at the temperature that comes nearest to complete."""
    levels = {r.temperature_c for r in core if r.temperature_c >= HOLDING_FROM_C} or {EXAMPLE_C}
    found = [
        (
            max(map(_hours_of, spells(core, level)), default=0.0),
            HOURS_A_DAY * float(holding_days(level)),
        )
        for level in sorted(levels)
    ]
    return max(found, key=lambda pair: pair[0] / pair[1])


def _by_sum(rule: Rule, core: Sequence[SeenReading]) -> tuple[float, float]:
    """Return the fractions of the holding time, told as hours at the example's temperature."""
    whole = HOURS_A_DAY * float(holding_days(EXAMPLE_C))
    done = sum(
        stretch.hours / (HOURS_A_DAY * float(holding_days(stretch.coolest_c)))
        for spell in spells(core, HOLDING_FROM_C)
        for stretch in spell
    )
    return done * whole, whole


_TIMES: Mapping[Counting, Callable[[Rule, Sequence[SeenReading]], tuple[float, float]]] = {
    Counting.IN_ALL: _in_all,
    Counting.IN_A_ROW: _in_a_row,
    Counting.WARM_SPELL: _in_a_row,
    Counting.EQUATION: _by_equation,
    Counting.SUM: _by_sum,
}
