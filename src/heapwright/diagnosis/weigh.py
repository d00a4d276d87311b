"""Weighs what was seen: Bayes' rule over the causes, one main cause at a time.

Knows how the signs' likelihoods and the causes' shares become probabilities with their range.
Knows no heap and no journal.

With p(c) the share of cause c, L(s|c) the chance of what sign s shows and w(s) its weight,

    P(c | seen) = p(c) prod_s L(s|c)^w(s) / sum over causes of the same.          (1)

L(s|c) = sum over outcomes o of P(o|c) q(o): q is 1 on what was seen, or how likely the model holds
each outcome (virtual evidence, Pearl 1988). Given the cause the signs are taken as independent
("naive"); where several tell partly the same (hand and model of one moisture), a weight below 1
takes their likelihood to a power less than whole. A sign that was not looked at has no factor, so
it counts neither for nor against. One main cause is assumed: of two at once the likelier is told
first and the other stands below it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from heapwright.diagnosis.tables import HIGH, LOW, TYPICAL, causes, limits, shares, signs
from heapwright.diagnosis.types import FloatArray, Ranked, Sign, Witnesses
from heapwright.errors import NotUnderstood
from heapwright.wording import worded

#: So many signs are named for and against a cause.
_NAMED = 3
#: A sign is named when it moves a cause's odds by this factor at least (its logarithm).
_TELLING = float(np.log(1.3))
_RANGE = (0.1, 0.9)
_TINY = 1e-12


def weigh(witnesses: Witnesses, seed: int = 0) -> tuple[Ranked, ...]:
    """Return every cause with its probability, likeliest first.

    Parameters
    ----------
    witnesses : mapping of sign id to array, shape (outcomes,)
        How likely each outcome is held; signs that were not looked at are left out.
    seed : int
        Of the draws from the tables' ranges.

    Raises
    ------
    NotUnderstood
        If a sign is unknown or its outcomes do not fit.

    """
    _check(witnesses)
    probability = probabilities(witnesses)
    low, high = _spread(witnesses, seed)
    ordered = sorted(range(len(probability)), key=lambda i: (-probability[i], i))
    pulls = _pulls(witnesses)
    return tuple(
        Ranked(
            cause=causes()[i],
            low=min(float(low[i]), float(probability[i])),
            probability=float(probability[i]),
            high=max(float(high[i]), float(probability[i])),
            because=_named(witnesses, pulls[:, i], 1.0),
            against=_named(witnesses, pulls[:, i], -1.0),
        )
        for i in ordered
    )


def probabilities(witnesses: Witnesses) -> FloatArray:
    """Return the probability of each cause in the table's order, by the typical table (Eq. 1)."""
    total = np.log(np.array([cause.prior[TYPICAL] for cause in causes()]))
    for name in sorted(witnesses):  # in one order, so that rounding is the same too
        total = total + log_likelihood(signs()[name], witnesses[name])
    return _normal(total)


def log_likelihood(sign: Sign, witness: FloatArray) -> FloatArray:
    """Return w(s) log L(s|c) of one sign for each cause, by the typical table."""
    table = shares()[sign.id][:, :, TYPICAL]
    table = table / table.sum(axis=1, keepdims=True)
    return np.asarray(sign.weight[TYPICAL] * np.log(table @ witness + _TINY))


def _normal(log_weight: FloatArray) -> FloatArray:
    weight = np.exp(log_weight - log_weight.max(axis=-1, keepdims=True))
    return np.asarray(weight / weight.sum(axis=-1, keepdims=True))


def _check(witnesses: Witnesses) -> None:
    for name, witness in witnesses.items():
        sign = signs().get(name)
        if sign is None:
            raise NotUnderstood(
                worded('No sign is called "{name}"', name=name),
                instead=worded("The signs are: {signs}", signs=", ".join(signs())),
                kept="Nothing was changed.",
            )
        if witness.shape != (len(sign.outcomes),) or not np.isclose(witness.sum(), 1.0):
            raise NotUnderstood(
                worded('What was said of the sign "{name}" is none of its outcomes', name=name),
                instead=worded("They are: {outcomes}", outcomes=", ".join(sign.outcomes)),
                kept="Nothing was changed.",
            )


def _spread(witnesses: Witnesses, seed: int) -> tuple[FloatArray, FloatArray]:
    """Return the range of each probability when every share and weight is drawn anew."""
    draws = round(limits()["draws"])
    rng = np.random.default_rng([911, seed])
    prior = np.array([cause.prior for cause in causes()])
    total = np.log(_drawn(prior, draws, rng))
    for name in sorted(witnesses):
        sign = signs()[name]
        table = _drawn(shares()[name], draws, rng)
        table = table / table.sum(axis=2, keepdims=True)
        weight = _drawn(np.array([sign.weight]), draws, rng)
        total = total + weight * np.log(table @ witnesses[name] + _TINY)
    drawn = _normal(total)
    low, high = np.quantile(drawn, _RANGE, axis=0)
    return low, high


def _drawn(three: FloatArray, draws: int, rng: np.random.Generator) -> FloatArray:
    """Return draws of shape (draws, ...) from triangles low-typical-high along the last axis."""
    low, typical, high = three[..., LOW], three[..., TYPICAL], three[..., HIGH]
    uniform = rng.random((draws, *low.shape))
    width = np.maximum(high - low, _TINY)
    turn = (typical - low) / width
    rising = low + np.sqrt(uniform * width * np.maximum(typical - low, 0.0))
    falling = high - np.sqrt((1.0 - uniform) * width * np.maximum(high - typical, 0.0))
    return np.asarray(np.maximum(np.where(uniform < turn, rising, falling), _TINY))


def _pulls(witnesses: Witnesses) -> FloatArray:
    """Return how far each sign moves each cause's odds against the others, (signs, causes)."""
    rows = [np.zeros(len(causes()))]
    for name in sorted(witnesses):
        told = log_likelihood(signs()[name], witnesses[name])
        prior = np.array([cause.prior[TYPICAL] for cause in causes()])
        mean = np.log(np.average(np.exp(told), weights=prior))
        rows.append(told - mean)
    return np.array(rows)[1:]


def _named(
    witnesses: Witnesses, pulls: FloatArray, direction: float
) -> tuple[tuple[Sign, str], ...]:
    names: Sequence[str] = sorted(witnesses)
    order = np.argsort(-direction * pulls, kind="stable")
    told = [i for i in order if direction * pulls[i] >= _TELLING][:_NAMED]
    return tuple(
        (signs()[names[i]], signs()[names[i]].outcomes[int(np.argmax(witnesses[names[i]]))])
        for i in told
    )
