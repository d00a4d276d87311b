"""Lays out how much of a heap got hot: a strip of days as seen, and bars as inferred.

Knows which days and rules are shown and how long a bar is. Knows nothing of how they came about.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from heapwright.sanitation.evidence import Finding
from heapwright.sanitation.seen import SeenDay
from heapwright.sentences import Sentence
from heapwright.sources import describe, load_sources, source_ids
from heapwright.wording import dated
from heapwright.workshop.heat_answer import FindingShare, HeatProof, InferredRule, RuleProof
from heapwright.workshop.heat_inferred import NINE_TENTHS
from heapwright.workshop.heat_words import (
    chance_words,
    finding_words,
    inferred_words,
    seen_words,
    start_words,
    telling_days,
    turnings_words,
)

#: A bar's length on its drawing.
BAR = 300


@dataclass(frozen=True, slots=True)
class DayCell:
    """One day of the strip.

    `kind` is "hot" (every reading of the day was), "mixed", "cool" or "unread".
    """

    day: date
    number: int
    kind: str
    highest_c: float | None
    turns: int

    @property
    def words(self) -> str:
        """The day, "Tue 3 March"."""
        return dated(self.day, "EEE d MMMM")


@dataclass(frozen=True, slots=True)
class Bar:
    """Where a share's range, its likely value and the wanted nine tenths lie on the drawing."""

    low: float
    likely: float
    high: float
    wanted: float


@dataclass(frozen=True, slots=True)
class RuleRow:
    """One rule as the page tells it."""

    name: str
    is_first: bool
    is_benchmark: bool
    seen: Sentence
    is_met: bool
    missing: tuple[Sentence, ...]
    asks_turnings: bool
    inferred: InferredRule | None
    bar: Bar | None
    share: Sentence | None
    beside: tuple[Sentence, ...]
    start: tuple[Sentence, ...]
    note: str
    source: str


@dataclass(frozen=True, slots=True)
class FindingRow:
    """One trial as the page tells it."""

    finding: Finding
    through: Sentence | None
    source: str
    is_fact: bool


@dataclass(frozen=True, slots=True)
class HeatPage:
    """Everything the section on heat shows."""

    proof: HeatProof
    days: tuple[DayCell, ...]
    days_left_out: int
    rows: tuple[RuleRow, ...]
    groups: tuple[tuple[str, tuple[FindingRow, ...]], ...]


def heat_page(proof: HeatProof) -> HeatPage:
    """Return the section's layout."""
    days = strip(proof.days, proof.hot_c)
    return HeatPage(
        proof=proof,
        days=days,
        days_left_out=len(proof.days) - len(days),
        rows=tuple(_row(one) for one in proof.rules),
        groups=tuple(
            (group, tuple(_finding(one) for one in members))
            for group, members in groupby(proof.findings, key=lambda one: one.finding.group)
        ),
    )


def strip(days: Sequence[SeenDay], hot_c: float) -> tuple[DayCell, ...]:
    """Return the strip's cells, one a day."""
    shown = telling_days(days, hot_c)
    return tuple(_cell(day, number, hot_c) for number, day in enumerate(shown, start=1))


def _cell(day: SeenDay, number: int, hot_c: float) -> DayCell:
    return DayCell(day.day, number, _kind(day, hot_c), day.highest_c, day.turns)


def _kind(day: SeenDay, hot_c: float) -> str:
    if day.lowest_c is None or day.highest_c is None:
        return "unread"
    if day.lowest_c >= hot_c:
        return "hot"
    return "mixed" if day.highest_c >= hot_c else "cool"


def _row(one: RuleProof) -> RuleRow:
    return RuleRow(
        name=one.rule.name,
        is_first=one.rule.is_first,
        is_benchmark=one.rule.is_benchmark,
        seen=seen_words(one.rule, one.seen),
        is_met=one.seen.is_met,
        missing=one.seen.missing,
        asks_turnings=one.rule.turnings is not None,
        inferred=one.inferred,
        bar=None if one.inferred is None else _bar(one.inferred),
        share=None if one.inferred is None else inferred_words(one.inferred),
        beside=() if one.inferred is None else _beside(one, one.inferred),
        start=() if one.inferred is None else _only(start_words(one.rule, one.inferred)),
        note=one.rule.note,
        source=f"{_in_short(one.rule.source)}: {one.rule.place}",
    )


def _in_short(source: str) -> str:
    """Return laws by their numbers and other sources by their titles."""
    known = load_sources()
    return "; ".join(known[key].identifier or known[key].title for key in source_ids(source))


def _beside(one: RuleProof, inferred: InferredRule) -> tuple[Sentence, ...]:
    return _only(chance_words(inferred), turnings_words(one.rule, inferred))


def _only(*told: Sentence | None) -> tuple[Sentence, ...]:
    return tuple(sentence for sentence in told if sentence is not None)


def _bar(inferred: InferredRule) -> Bar:
    share = inferred.share
    low, likely, high = (round(BAR * x, 1) for x in (share.low, share.likely, share.high))
    return Bar(low, likely, high, BAR * NINE_TENTHS)


def _finding(one: FindingShare) -> FindingRow:
    return FindingRow(
        one.finding, finding_words(one), describe(one.finding.source), one.finding.evidence.is_fact
    )
