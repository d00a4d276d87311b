"""An invented answer to how much of a heap got hot, with every sort of day and every sort of rule.

No number here is a measurement of anything.
"""

from __future__ import annotations

from datetime import date, datetime, timedelta, timezone

from heapwright.advice.types import Interval
from heapwright.sanitation.evidence import Condition, load_evidence, never_at_home
from heapwright.sanitation.rules import load_rules, note_on
from heapwright.sanitation.seen import seen_days, seen_heat
from heapwright.sanitation.seen_time import SeenReading
from heapwright.sentences import say
from heapwright.workshop.heat_answer import FindingShare, HeatProof, InferredRule, RuleProof
from heapwright.workshop.heat_proof import CAUTIONS

FIRST = date(2026, 6, 1)
#: Hottest and coolest reading of each day; None when nobody read.
DAYS = [None, (66.0, 60.0), (61.0, 57.0), (58.0, 41.0), (44.0, 44.0), None, (57.0, 57.0)]


def heat_proof(*, modelled: bool = True) -> HeatProof:
    """A heap with hot days, a cool one, one of both and two that nobody read; turned once."""
    readings = [
        SeenReading(_at(number, hour), value)
        for number, pair in enumerate(DAYS)
        if pair is not None
        for hour, value in zip((7, 19), pair, strict=True)
    ]
    turns = (_at(3, 12),)
    seen = seen_heat(readings, turns, 31.0)
    share = Interval(0.28, 0.45, 0.75)
    return HeatProof(
        rules=tuple(
            RuleProof(rule, told, InferredRule(share, 0.04, 1, 0.8, note_on(rule)))
            if modelled
            else RuleProof(rule, told, None)
            for rule, told in zip(load_rules(), seen.rules, strict=True)
        ),
        seen=seen,
        days=seen_days(readings, turns, FIRST, FIRST + timedelta(days=30)),
        hot_c=55.0,
        findings=tuple(
            FindingShare(finding, share if modelled and finding.hours else None, None)
            for finding in load_evidence()
            if finding.kind is not Condition.NEVER
        ),
        keep_out=never_at_home(),
        members=24 if modelled else 0,
        parcels=240 if modelled else 0,
        start_c_to_n=31.0,
        basis=(say("Invented for a test."),),
        cautions=CAUTIONS,
    )


def _at(number: int, hour: int) -> datetime:
    day = FIRST + timedelta(days=number)
    return datetime(day.year, day.month, day.day, hour, tzinfo=timezone(timedelta(hours=-7)))
