"""The typed answer to what is wrong with a heap: causes, next look, remedy, what comes of it.

Knows what the answer holds, in SI units and `Sentence`s. Knows nothing of pages or terminals.
"""

from __future__ import annotations

from dataclasses import dataclass

from heapwright.advice.types import Interval
from heapwright.sentences import Sentence


@dataclass(frozen=True, slots=True)
class CauseShown:
    """One cause with its probability.

    Attributes
    ----------
    id : str
    name, told : Sentence
    probability : Interval
        Likely by the table; low and high by drawing the table anew within its ranges.
    because, against : tuple of Sentence
        What was seen that speaks for and against it.
    source : str

    """

    id: str
    name: Sentence
    told: Sentence
    probability: Interval
    because: tuple[Sentence, ...]
    against: tuple[Sentence, ...]
    source: str


@dataclass(frozen=True, slots=True)
class OutcomeShown:
    """What one outcome of the next look would mean.

    `sign` and `outcome` are what a form sends back when it was seen.
    """

    sign: str
    outcome: str
    seen: Sentence
    means: Sentence
    chance: float


@dataclass(frozen=True, slots=True)
class CheckShown:
    """What to look at next to tell the two likeliest causes apart."""

    sign: str
    ask: Sentence
    why: Sentence
    gain_bits: float
    outcomes: tuple[OutcomeShown, ...]


@dataclass(frozen=True, slots=True)
class AfterRemedy:
    """The hottest the thermometer should read in the next days, with the remedy and without. [°C]

    By the fitted model, with its range; never a promise.
    """

    days: float
    with_remedy_c: Interval
    left_alone_c: Interval
    told: Sentence


@dataclass(frozen=True, slots=True)
class RemedyShown:
    """What to do about the likeliest cause, with everything a person needs to do it."""

    kind: str
    headline: Sentence
    amounts: tuple[Sentence, ...]
    expected: tuple[Sentence, ...]
    cautions: tuple[Sentence, ...]
    after: AfterRemedy | None


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """What is most likely wrong with the heap in a bin.

    Attributes
    ----------
    bin_key, bin_name, batch_name : str
    headline : Sentence
    is_danger : bool
        It may be burning: nobody opens it, nothing is looked at inside.
    is_sure : bool
        Whether the likeliest cause reaches the table's share.
    causes : tuple of CauseShown
        Likeliest first.
    weighed : tuple of Sentence
        All that was seen, read and inferred.
    check : CheckShown or None
    remedy : RemedyShown
    notes : tuple of Sentence
        What weakens the answer.

    """

    bin_key: str
    bin_name: str
    batch_name: str
    headline: Sentence
    is_danger: bool
    is_sure: bool
    causes: tuple[CauseShown, ...]
    weighed: tuple[Sentence, ...]
    check: CheckShown | None
    remedy: RemedyShown
    notes: tuple[Sentence, ...]
