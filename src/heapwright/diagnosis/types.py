"""The types of a diagnosis: what was seen, how likely each cause is, what to look at next.

Holds no rule and no number of its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
#: How likely each outcome of a sign is, by the sign's id; a plain look has all weight on one.
Witnesses = Mapping[str, FloatArray]


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing that can be wrong with a heap (a row of `causes.csv`).

    Attributes
    ----------
    id, name, told : str
    prior : (float, float, float)
        How often, before anything is seen: low, typical, high; not yet brought to a sum of 1.
    remedy : str
        Kind of remedy, known to whoever lays it out.
    source, place : str

    """

    id: str
    name: str
    told: str
    prior: tuple[float, float, float]
    remedy: str
    source: str
    place: str


@dataclass(frozen=True, slots=True)
class Sign:
    """Something that can be seen of a heap (a row of `signs.csv`).

    Attributes
    ----------
    id : str
    kind : str
        "choice" (one outcome of several), "tick" (yes or no), "log" or "model".
    outcomes : tuple of str
    said : tuple of str
        The same in running words, to stand in `words`.
    weight : (float, float, float)
        The power its likelihood is taken to: low, typical, high.
    effort : float
        How much it takes to look, 1 at once.
    ask : str
        What to do to see it; "" when a person cannot just look.
    words : str
        What it says, with {outcome}.

    """

    id: str
    kind: str
    outcomes: tuple[str, ...]
    said: tuple[str, ...]
    weight: tuple[float, float, float]
    effort: float
    ask: str
    words: str

    def one(self, outcome: str) -> FloatArray:
        """Return all weight on one outcome."""
        return np.array([1.0 if name == outcome else 0.0 for name in self.outcomes])


@dataclass(frozen=True, slots=True)
class Seen:
    """What a person saw just now; what is not named was not looked at.

    Attributes
    ----------
    smell, squeeze : str
        "" when not tried.
    present, absent : frozenset of str
        Signs of the kind "tick" that were found, and those looked for and not found.

    """

    smell: str = ""
    squeeze: str = ""
    present: frozenset[str] = field(default_factory=frozenset)
    absent: frozenset[str] = field(default_factory=frozenset)


@dataclass(frozen=True, slots=True)
class Ranked:
    """One cause with its probability.

    Attributes
    ----------
    cause : Cause
    low, probability, high : float
        By the typical table, and the range that eight in ten draws of the tables give. [0-1]
    because, against : tuple of (Sign, str)
        What of the seen speaks most for and against it, with its outcome.

    """

    cause: Cause
    low: float
    probability: float
    high: float
    because: tuple[tuple[Sign, str], ...] = ()
    against: tuple[tuple[Sign, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one outcome of the next check would mean."""

    outcome: str
    chance: float
    leader: Cause
    probability: float


@dataclass(frozen=True, slots=True)
class NextCheck:
    """The look that tells the leading causes apart best.

    Attributes
    ----------
    sign : Sign
    between : (Cause, Cause)
    gain_bits : float
        Expected loss of uncertainty between the two. [bit]
    outcomes : tuple of Outcome
        Likeliest first.

    """

    sign: Sign
    between: tuple[Cause, Cause]
    gain_bits: float
    outcomes: tuple[Outcome, ...]
