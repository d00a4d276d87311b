"""Chooses what to look at next: the sign that tells the two leading causes apart best.

Knows expected entropy. Knows no heap.

Between the leading causes a and b, brought to a sum of 1, the uncertainty is
H = -sum p log2 p. A look at sign s gives outcome o with P(o) = sum_c p(c) P(o|c) and leaves
H(o); what it is expected to tell is

    gain(s) = H - sum_o P(o) H(o).                                               (2)

The sign with the largest gain for its effort is asked for (Lindley 1956: the information of an
experiment). Signs already seen, and those nobody can just go and look at, are not asked for.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from heapwright.diagnosis.tables import TYPICAL, causes, shares, signs
from heapwright.diagnosis.types import FloatArray, NextCheck, Outcome, Ranked, Sign, Witnesses
from heapwright.diagnosis.weigh import probabilities

#: Less than this is not worth the walk. [bit]
_LEAST_GAIN_BITS = 0.02


def next_check(ranked: Sequence[Ranked], witnesses: Witnesses) -> NextCheck | None:
    """Return the look that tells the two likeliest causes apart best; None when none tells.

    Parameters
    ----------
    ranked : sequence of Ranked
        Likeliest first.
    witnesses : mapping
        What was seen already.

    """
    first, second = ranked[0], ranked[1]
    order = [cause.id for cause in causes()]
    pair = [order.index(first.cause.id), order.index(second.cause.id)]
    two = np.array([first.probability, second.probability])
    gains = {
        sign.id: gain_bits(two / two.sum(), sign, pair)
        for sign in signs().values()
        if sign.ask and sign.id not in witnesses
    }
    if not gains:
        return None
    best = max(gains, key=lambda name: gains[name] / signs()[name].effort)
    if gains[best] < _LEAST_GAIN_BITS:
        return None
    return NextCheck(
        sign=signs()[best],
        between=(first.cause, second.cause),
        gain_bits=gains[best],
        outcomes=_outcomes(signs()[best], witnesses),
    )


def gain_bits(two: FloatArray, sign: Sign, pair: Sequence[int]) -> float:
    """Return the uncertainty between two causes that a look at a sign takes away (Eq. 2). [bit]"""
    table = _table(sign)[pair]
    joint = two[:, None] * table
    chance = joint.sum(axis=0)
    after = joint / np.maximum(chance, 1e-300)
    return float(entropy_bits(two) - (chance * _entropies(after)).sum())


def entropy_bits(probability: FloatArray) -> float:
    """Return the uncertainty of probabilities that add up to 1. [bit]"""
    return float(_entropies(probability[:, None])[0])


def _entropies(columns: FloatArray) -> FloatArray:
    safe = np.where(columns > 0, columns, 1.0)
    return np.asarray(-(columns * np.log2(safe)).sum(axis=0))


def _table(sign: Sign) -> FloatArray:
    table = shares()[sign.id][:, :, TYPICAL]
    return np.asarray(table / table.sum(axis=1, keepdims=True))


def _outcomes(sign: Sign, witnesses: Witnesses) -> tuple[Outcome, ...]:
    chance = probabilities(witnesses) @ _table(sign)
    found = []
    for i, name in enumerate(sign.outcomes):
        after = probabilities({**witnesses, sign.id: sign.one(name)})
        leader = int(np.argmax(after))
        found.append(Outcome(name, float(chance[i]), causes()[leader], float(after[leader])))
    return tuple(sorted(found, key=lambda one: -one.chance))
