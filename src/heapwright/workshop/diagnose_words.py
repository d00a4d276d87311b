"""Says what was seen and inferred of a heap, and what the next look would mean.

Knows wording only.
"""

from __future__ import annotations

from heapwright.advice.types import Interval
from heapwright.diagnosis.tables import signs
from heapwright.diagnosis.types import FloatArray, NextCheck, Outcome, Ranked, Sign, Witnesses
from heapwright.mixing.words import low
from heapwright.sentences import Sentence, say, share, word
from heapwright.sources import describe
from heapwright.wording import worded
from heapwright.workshop.diagnose_answer import CauseShown, CheckShown, OutcomeShown

#: An outcome less likely than this is not told beforehand.
_LEAST_CHANCE = 0.02
_MOST_OUTCOMES = 4


def sign_words(sign: Sign, outcome: str) -> Sentence:
    """Return what a sign says with one outcome."""
    said = sign.said[sign.outcomes.index(outcome)]
    return say(f"{sign.words}.", outcome=word(said))


def weighed_words(witnesses: Witnesses) -> tuple[Sentence, ...]:
    """Return all that was weighed, what a person saw first."""
    order = [name for kind in ("choice", "tick", "log", "model") for name in _of(witnesses, kind)]
    return tuple(_weighed(signs()[name], witnesses[name]) for name in order)


def _of(witnesses: Witnesses, kind: str) -> list[str]:
    return [sign.id for sign in signs().values() if sign.kind == kind and sign.id in witnesses]


def _weighed(sign: Sign, witness: FloatArray) -> Sentence:
    best = int(witness.argmax())
    if sign.kind != "model":
        return sign_words(sign, sign.outcomes[best])
    return say(
        "{told} (it gives that {chance}).",
        told=word(worded(sign.words, outcome=sign.said[best])),
        chance=share(float(witness[best])),
    )


def cause_shown(one: Ranked) -> CauseShown:
    """Return one cause as it is told."""
    return CauseShown(
        id=one.cause.id,
        name=say(one.cause.name),
        told=say(one.cause.told),
        probability=Interval(one.low, one.probability, one.high),
        because=tuple(sign_words(sign, outcome) for sign, outcome in one.because),
        against=tuple(sign_words(sign, outcome) for sign, outcome in one.against),
        source=f"{describe(one.cause.source)}: {one.cause.place}",
    )


def check_shown(check: NextCheck) -> CheckShown:
    """Return the next look as it is told."""
    first, second = check.between
    kept = [one for one in check.outcomes if one.chance >= _LEAST_CHANCE][:_MOST_OUTCOMES]
    return CheckShown(
        sign=check.sign.id,
        ask=say(check.sign.ask),
        why=say(
            'It tells "{first}" from "{second}".',
            first=word(low(first.name)),
            second=word(low(second.name)),
        ),
        gain_bits=check.gain_bits,
        outcomes=tuple(_outcome(check.sign, one) for one in kept),
    )


def _outcome(sign: Sign, one: Outcome) -> OutcomeShown:
    return OutcomeShown(
        sign=sign.id,
        outcome=one.outcome,
        seen=sign_words(sign, one.outcome),
        means=say(
            'Then "{cause}" is likeliest ({share}).',
            cause=word(low(one.leader.name)),
            share=share(one.probability),
        ),
        chance=one.chance,
    )
