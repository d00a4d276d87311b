"""The typed answer to "what else could be done": one row for each thing, best first.

Knows what the answer holds, in SI units and `Sentence`s. Knows nothing of how it comes about.
"""

from __future__ import annotations

from dataclasses import dataclass

from heapwright.advice.types import Advice, Interval
from heapwright.sentences import Sentence


@dataclass(frozen=True, slots=True)
class WhatIfRow:
    """One thing that could be done.

    Attributes
    ----------
    doing : str
        Such as "move and wet".
    in_days : int
        0 is today.
    headline : Sentence
    amounts : tuple of Sentence
    gain : Sentence
        `better_days` in words.
    is_chosen : bool
    better_days : Interval
        Than leaving it alone, all things counted. [days]
    sooner_days : Interval
        Finished sooner than left alone. [days]
    finished_in_days : Interval
    hot_share : Interval
        Share that will have been hot for three days, since it was built. [0-1]
    airless_share : float
        Share of heap and time short of oxygen, likely. [0-1]
    nitrogen_lost : float
        Share of its nitrogen that goes off as ammonia, likely. [0-1]
    fly_share : float
        How much of the time, times how much food, flies find open, likely. [0-1]
    moisture : Interval
        At the horizon. [0-1]
    water_kg, barrows, work_minutes : float

    """

    doing: str
    in_days: int
    headline: Sentence
    amounts: tuple[Sentence, ...]
    gain: Sentence
    is_chosen: bool
    better_days: Interval
    sooner_days: Interval
    finished_in_days: Interval
    hot_share: Interval
    airless_share: float
    nitrogen_lost: float
    fly_share: float
    moisture: Interval
    water_kg: float
    barrows: float
    work_minutes: float


@dataclass(frozen=True, slots=True)
class NotPossible:
    """One thing that cannot or must not be done, and why."""

    doing: str
    reason: Sentence


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What could be done with a heap.

    Attributes
    ----------
    best : Advice
        The best of them with everything a person needs to do it.
    stands_before : Sentence or None
        The day's job by a rule that goes before the comparison, if there is one.
    rows : tuple of WhatIfRow
        Best first.
    not_possible : tuple of NotPossible
    best_in, members : int
        In so many of the model's runs nothing else is better.
    is_equal : bool
    margin_days : Interval
        Of the best over the next best thing.
    rival : str
        That thing; "" when nothing else can be done.
    horizon_days : int
    notes : tuple of Sentence
        What would turn it, and what the numbers rest on.

    """

    best: Advice
    stands_before: Sentence | None
    rows: tuple[WhatIfRow, ...]
    not_possible: tuple[NotPossible, ...]
    best_in: int
    members: int
    is_equal: bool
    margin_days: Interval
    rival: str
    horizon_days: int
    notes: tuple[Sentence, ...]
