"""What age asks for: when the hot work is done, how long it cures, when it is tested.

Knows the end of a heap's life. Knows nothing of its hot days.
"""

from __future__ import annotations

from heapwright.advice import phrases
from heapwright.advice.signs import Signs
from heapwright.advice.types import Advice, Job, Sureness
from heapwright.sentences import Sentence, days, say, temperature


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
    """Answer a heap that was left to cure: use it, test it, or how long still."""
    cured = signs.view.curing_days
    if cured is None:
        # What tests have proven holds whether or not somebody wrote down that it cures.
        return tested(signs) if signs.view.finish in ("ready", "harmful") else None
    return tested(signs) or (
        _cures_on(signs, cured)
        if cured < signs.limits["cure_days"]
        else _to_be_tested(signs, (say("It has cured for {done}.", done=days(cured)),))
    )


def tested(signs: Signs) -> Advice | None:
    """Answer by the tests done of it; None when there is none, or they leave the time to decide."""
    view = signs.view
    if view.finish == "ready":
        return Advice(
            job=Job.USE,
            headline=say("Use it: it passed its tests."),
            reasons=view.finish_told,
            amounts=(),
            expected=(),
            cautions=phrases.USING,
            sureness=Sureness.SEEN,
            afterwards=(say("Write down how much went where."),),
        )
    if view.finish == "harmful":
        return _keep_off(signs)
    if view.finish == "contradictory":
        return _to_be_tested(signs, view.finish_told)
    if view.finish == "not yet":
        left = signs.limits["retest_days"] - (view.days_since_test or 0.0)
        if left <= 0:
            return _to_be_tested(signs, view.finish_told)
        return Advice(
            job=Job.LEAVE,
            headline=say("Let it cure on; keep it just damp."),
            reasons=view.finish_told,
            amounts=(),
            expected=(say("Test it again in {left}.", left=days(left)),),
            cautions=(),
            sureness=Sureness.SEEN,
        )
    return None


def _keep_off(signs: Signs) -> Advice:
    return Advice(
        job=Job.LEAVE,
        headline=say("Keep it off broadleaf plants: its pea or bean pots show weedkiller."),
        reasons=signs.view.finish_told,
        amounts=(),
        expected=(say("Only new pots of peas or beans that grow well take this back."),),
        cautions=phrases.USING,
        sureness=Sureness.SEEN,
        afterwards=(
            say("Tell whoever gave you the hay, straw or manure, and pass none of it on."),
        ),
    )


def _cures_on(signs: Signs, cured: float) -> Advice:
    whole = signs.limits["cure_days"]
    return Advice(
        job=Job.LEAVE,
        headline=say("Let it cure; keep it just damp."),
        reasons=(
            say("It has cured for {done} of about {whole}.", done=days(cured), whole=days(whole)),
        ),
        amounts=(),
        expected=(say("Test it in {left}.", left=days(whole - cured)),),
        cautions=(),
        sureness=Sureness.LIKELY,
    )


def _to_be_tested(signs: Signs, reasons: tuple[Sentence, ...]) -> Advice:
    following = signs.view.next_test
    return Advice(
        job=Job.TEST,
        headline=say("Test whether it is ready, then use it."),
        reasons=reasons,
        amounts=phrases.READY_TESTS if following is None else (following,),
        expected=(
            say("If the tests pass, it is ready for the beds; if not, give it another two weeks."),
        ),
        cautions=phrases.USING,
        sureness=Sureness.LIKELY,
    )
