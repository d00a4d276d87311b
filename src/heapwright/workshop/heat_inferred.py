"""Follows the material of a weighed ensemble's heaps and holds it against the rules of heat.

Knows which members stand for the ensemble and how they are run in full. Knows no journal and no
page.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import timedelta

import numpy as np

from heapwright.advice.types import Interval
from heapwright.fitting.beginning import comb
from heapwright.fitting.weigh import weighted_quantiles
from heapwright.heap.types import ActionKind
from heapwright.sanitation.evidence import load_evidence, share_through
from heapwright.sanitation.parcels import Parcels, follow
from heapwright.sanitation.rules import (
    Rule,
    RuleShare,
    coldest_counted_c,
    load_rules,
    rule_share,
)
from heapwright.workshop.heat_answer import InferredRule
from heapwright.workshop.hindsight import Hindsight
from heapwright.workshop.history import settings_table
from heapwright.workshop.model import LEVELS, HeapModel

#: What counts as the whole heap but for a rest that no one can vouch for (our choice).
NINE_TENTHS = 0.9
#: Members are run on so many threads; the kernel and the arrays let go of the interpreter.
_THREADS = 2
_TURNS = (ActionKind.STIR, ActionKind.MOVE)


@dataclass(frozen=True, slots=True)
class Inferred:
    """What the members say.

    Attributes
    ----------
    rules : dict of str to InferredRule
        By the rule's id.
    findings : dict of str to (Interval or None, Interval or None)
        By the finding's id: the share that went through it, and through it in moist heat.
    members, parcels : int

    """

    rules: dict[str, InferredRule]
    findings: dict[str, tuple[Interval | None, Interval | None]]
    members: int
    parcels: int


@dataclass(frozen=True, slots=True)
class _Followed:
    """One member's rules and findings."""

    rules: tuple[RuleShare, ...]
    findings: tuple[tuple[float | None, float | None], ...]


def infer(model: HeapModel, hindsight: Hindsight, seed: int) -> Inferred:
    """Return what the ensemble says of every rule and finding up to now.

    Parameters
    ----------
    model : HeapModel
    hindsight : Hindsight
        Its heaps from the building on, and how much each counts.
    seed : int
        Of the parcels' ways.

    """
    table = settings_table()
    parcels = round(table["proof_parcels"])
    members, weight = chosen(hindsight.weights.weight, round(table["proof_members"]))
    with ThreadPoolExecutor(max_workers=_THREADS) as pool:
        followed = list(
            pool.map(lambda m: _follow(model, hindsight, m, seed, parcels), members.tolist())
        )
    likeliest = int(np.argmax(weight))
    rules = {
        rule.id: _inferred(rule, [one.rules[i] for one in followed], weight, likeliest)
        for i, rule in enumerate(load_rules())
    }
    findings = {
        finding.id: (
            _interval([one.findings[i][0] for one in followed], weight),
            _interval([one.findings[i][1] for one in followed], weight),
        )
        for i, finding in enumerate(load_evidence())
    }
    return Inferred(rules, findings, len(followed), parcels)


def chosen(weight: np.ndarray, count: int) -> tuple[np.ndarray, np.ndarray]:
    """Return members that stand for a weighed ensemble, and their weights.

    Every member is met as often as it weighs, to within one, so the spread is kept and a light
    member may fall out. When all are wanted, each keeps its own weight.

    Parameters
    ----------
    weight : array, shape (members,)
        Sums to 1.
    count : int

    """
    if count >= weight.size:
        return np.arange(weight.size), weight
    members, times = np.unique(comb(weight, count), return_counts=True)
    return members, times / count


def _follow(
    model: HeapModel, hindsight: Hindsight, member: int, seed: int, parcels: int
) -> _Followed:
    """Return one member's heap, run in full up to now, held against every rule and finding."""
    from heapwright.heap.parameters import Parameters
    from heapwright.heap.simulate import simulate

    hours = max(1, model.now_index)
    start = model.weather.start
    actions = [action for action in model.history.actions if action.hour < hours]
    fill = hindsight.fills[member]
    run = simulate(
        model.history.shape,
        fill,
        model.weather.between(start, start + timedelta(hours=hours)),
        actions,
        parameters=Parameters.from_array(hindsight.parameters[member]),
    )
    rng = np.random.default_rng((seed, member))
    ways = follow(run, rng, parcels, cold_c=coldest_counted_c())
    turns = [int(action.hour) for action in actions if action.kind in _TURNS]
    return _Followed(
        rules=tuple(rule_share(rule, ways, fill.c_to_n, turns) for rule in load_rules()),
        findings=tuple(_through(ways)),
    )


def _through(ways: Parcels) -> list[tuple[float | None, float | None]]:
    return [
        (share_through(finding, ways), share_through(finding, ways, moist=True))
        for finding in load_evidence()
    ]


def _inferred(
    rule: Rule, told: list[RuleShare], weight: np.ndarray, likeliest: int
) -> InferredRule:
    shares = np.array([one.share for one in told])
    share = _interval(shares.tolist(), weight)
    fits = [one.start_fits for one in told]
    return InferredRule(
        share=share or Interval(0.0, 0.0, 0.0),
        chance_of_nine_tenths=float(weight[shares >= NINE_TENTHS].sum()),
        turnings_in_hot_period=told[likeliest].turnings_in_hot_period,
        start_chance=None
        if rule.c_to_n is None
        else float(weight[np.array([fit is True for fit in fits])].sum()),
        note=told[likeliest].note,
    )


def _interval(values: list[float | None], weight: np.ndarray) -> Interval | None:
    """Return low, likely and high of one value per member; None when the members have none."""
    known = [value for value in values if value is not None]
    if len(known) < len(values):
        return None
    low, likely, high = weighted_quantiles(np.array([known]), weight, LEVELS)[:, 0]
    return Interval(float(low), float(likely), float(high))
