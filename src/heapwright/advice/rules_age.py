"""What age asks for: when the hot work is done, how long it cures, when it is tested.

Knows the end of a heap's life. Knows nothing of its hot days.
"""

from __future__ import annotations

from heapwright.advice import phrases
from heapwright.advice.signs import Signs
from heapwright.advice.types import Advice, Job, Sureness
from heapwright.sentences import days, say, temperature


def spent(signs: Signs) -> Advice | None:
    """Answer a damp heap that a turn no longer heats."""
    reading = signs.fresh_reading
    if reading is None or signs.view.turns == 0 or not signs.did_not_reheat:
        return None
    if signs.is_dry or signs.model_says_much_left:
        return None
    return Advice(
        job=Job.CURE,
        headline=say("Let it cure: the hot work is done."),
        reasons=(
            say(
                "It was turned {ago} ago and stayed at {now}: a damp heap that does not heat "
                "again after a turn has spent its easy food.",
                ago=days(signs.days_since_worked),
                now=temperature(reading.temperature_c),
            ),
        ),
        amounts=(),
        expected=(
            say(
                "It shrinks and darkens on its own for about {whole}; test it then.",
                whole=days(signs.limits["cure_days"]),
            ),
        ),
        cautions=phrases.HANDLING,
        sureness=Sureness.LIKELY,
        afterwards=(say("Write down that it is curing, so that the days are counted."),),
    )


def curing(signs: Signs) -> Advice | None:
    """Answer a heap that was left to cure: how long still, or test it."""
    cured = signs.view.curing_days
    if cured is None:
        return None
    if cured < signs.limits["cure_days"]:
        return Advice(
            job=Job.LEAVE,
            headline=say("Let it cure; keep it just damp."),
            reasons=(
                say(
                    "It has cured for {done} of about {whole}.",
                    done=days(cured),
                    whole=days(signs.limits["cure_days"]),
                ),
            ),
            amounts=(),
            expected=(say("Test it in {left}.", left=days(signs.limits["cure_days"] - cured)),),
            cautions=(),
            sureness=Sureness.LIKELY,
        )
    return Advice(
        job=Job.TEST,
        headline=say("Test whether it is ready, then use it."),
        reasons=(say("It has cured for {done}.", done=days(cured)),),
        amounts=phrases.READY_TESTS,
        expected=(
            say("If both pass, it is ready for the beds; if not, give it another two weeks."),
        ),
        cautions=phrases.USING,
        sureness=Sureness.LIKELY,
    )
