"""The typed answer to how much of a heap got hot: what was seen and what is inferred, apart.

Knows what the answer holds. Knows nothing of how it comes about or how it is shown.
"""

from __future__ import annotations

from dataclasses import dataclass

from heapwright.advice.types import Interval
from heapwright.sanitation.evidence import Finding
from heapwright.sanitation.rules import Rule
from heapwright.sanitation.seen import SeenDay, SeenHeat, SeenRule
from heapwright.sentences import Sentence


@dataclass(frozen=True, slots=True)
class InferredRule:
    """How much of the heap has met a rule's time and temperature, by the model; never proof.

    Attributes
    ----------
    share : Interval
        Of the dry matter that went in, over the weighed ensemble. [0-1]
    chance_of_nine_tenths : float
        Weight of the members in which at least nine tenths of the heap met it. [0-1]
    turnings_in_hot_period : int
        In the likeliest member.
    start_chance : float or None
        Weight of the members whose start C:N meets the rule; None when it asks for none.
    note : Sentence

    """

    share: Interval
    chance_of_nine_tenths: float
    turnings_in_hot_period: int
    start_chance: float | None
    note: Sentence


@dataclass(frozen=True, slots=True)
class RuleProof:
    """One published rule, what the thermometer saw of it and what the model infers."""

    rule: Rule
    seen: SeenRule
    inferred: InferredRule | None  # None when the heap is not modelled


@dataclass(frozen=True, slots=True)
class FindingShare:
    """One trial's finding and the share of this heap that went through its condition.

    Attributes
    ----------
    finding : Finding
    share, moist_share : Interval or None
        None when the source gives no condition that can be followed, or nothing of moisture, or
        the heap is not modelled. [0-1]

    """

    finding: Finding
    share: Interval | None
    moist_share: Interval | None


@dataclass(frozen=True, slots=True)
class HeatProof:
    """How much of a heap got hot for how long, seen and inferred.

    Attributes
    ----------
    rules : tuple of RuleProof
        In the order of the table; those that fit a hand-turned bin first.
    seen : SeenHeat
    days : tuple of SeenDay
        Every day since the heap was built.
    hot_c : float
        The line the days are drawn against. [°C]
    findings : tuple of FindingShare
        What trials found, without what is to be kept out.
    keep_out : tuple of Finding
        What does not belong into a home heap however hot it gets.
    members, parcels : int
        How many runs of the model, and how finely the material was followed; 0 without a model.
    start_c_to_n : float or None
        Likely C:N of what was built in.
    basis : tuple of Sentence
        What the inference rests on, or why there is none.
    cautions : tuple of Sentence

    """

    rules: tuple[RuleProof, ...]
    seen: SeenHeat
    days: tuple[SeenDay, ...]
    hot_c: float
    findings: tuple[FindingShare, ...]
    keep_out: tuple[Finding, ...]
    members: int
    parcels: int
    start_c_to_n: float | None
    basis: tuple[Sentence, ...]
    cautions: tuple[Sentence, ...]
