"""The trade's rules for what to do with a heap today; the seam where the fitted model comes in.

Knows the order in which signs are judged: danger first, then smell and pests, then heat, then
water, then age. Knows nothing of storage or pages. `advise` is the only entry; a later judge with
the same signature can take its place.

The rules honoured here are common practice without a source: leave a heap alone between 110 and
160 °F; below 100 °F it wants air and water; from 160 °F it wants air now; end with brown.
"""

from __future__ import annotations

from collections.abc import Callable

from heapwright.advice import phrases, remedies
from heapwright.advice.signs import HOURS_A_DAY, Signs, read_signs
from heapwright.advice.types import Advice, HeapView, Job, Sureness
from heapwright.sentences import days, hours, say, temperature, word

Rule = Callable[[Signs], Advice | None]


def advise(view: HeapView) -> Advice:
    """Return the one job for this heap today, by the first rule that applies.

    Parameters
    ----------
    view : HeapView
        What is known of the heap; nothing is assumed where a reading is missing.

    Returns
    -------
    Advice
        Never None: without any sign the answer is to take the temperature.

    """
    signs = read_signs(view)
    for rule in RULES:
        advice = rule(signs)
        if advice is not None:
            return advice
    return remedies.take_its_temperature(signs)


def _danger(signs: Signs) -> Advice | None:
    reading = signs.last_reading
    if reading is None or reading.temperature_c < signs.limits["stand_back_c"]:
        return None
    return Advice(
        job=Job.STAND_BACK,
        headline=say("Stand back and do not dig: it may be burning inside."),
        reasons=(
            say(
                "It read {now}; from {limit} a heap can char.",
                now=temperature(reading.temperature_c),
                limit=temperature(signs.limits["stand_back_c"]),
            ),
        ),
        amounts=(),
        expected=(say("Read it again from upwind in an hour, without opening it."),),
        cautions=phrases.FIRE,
        sureness=Sureness.SEEN,
    )


def _too_hot(signs: Signs) -> Advice | None:
    reading = signs.fresh_reading
    if reading is None or reading.temperature_c < signs.limits["act_now_c"]:
        return None
    reasons = [
        say(
            "It reads {now}. From {limit} it wants air now: hotter kills the life that makes "
            "compost.",
            now=temperature(reading.temperature_c),
            limit=temperature(signs.limits["act_now_c"]),
        ),
    ]
    if reading.temperature_c >= signs.limits["watch_fire_c"]:
        reasons.append(
            say(
                "Above {limit} a heap is watched closely for fire.",
                limit=temperature(signs.limits["watch_fire_c"]),
            )
        )
    return remedies.turn(signs, reasons, Sureness.SEEN, hot=True)


def _ammonia(signs: Signs) -> Advice | None:
    if signs.view.smell != "ammonia":
        return None
    return remedies.mix_in_brown(
        signs, say("It smells of ammonia: more nitrogen than the heap can hold.")
    )


def _airless(signs: Signs) -> Advice | None:
    view = signs.view
    soaked = view.squeeze == "dripping"
    if view.smell not in ("rotten egg", "sour") and not soaked:
        return None
    reason = (
        say(
            "It smells {smell}: too little air, most often because it is too wet or matted.",
            smell=word(view.smell),
        )
        if view.smell in ("rotten egg", "sour")
        else say("A squeezed handful drips: the pores are full of water and air cannot pass.")
    )
    return remedies.mix_in_brown(signs, reason)


def _pests(signs: Signs) -> Advice | None:
    pests = [p for p in signs.view.pests if p in ("flies", "rats")]
    if not pests:
        return None
    reasons = [phrases.PEST_REASON[pest] for pest in pests]
    return Advice(
        job=Job.CAP,
        headline=say("Bury what is exposed and cap it with brown."),
        reasons=tuple(reasons),
        amounts=(phrases.cap_amount(signs),),
        expected=tuple(phrases.after_pests(signs, pest) for pest in pests),
        cautions=phrases.HANDLING,
        sureness=Sureness.SEEN,
    )


def _ants(signs: Signs) -> Advice | None:
    if "ants" not in signs.view.pests or signs.is_damp_by_hand:
        return None
    return remedies.wet(
        signs,
        (say("Ants have moved in: they like a dry heap (common practice)."),),
        Sureness.LIKELY,
    )


def _curing(signs: Signs) -> Advice | None:
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


def _just_worked(signs: Signs) -> Advice | None:
    if signs.days_since_worked * HOURS_A_DAY >= signs.limits["rest_hours"]:
        return None
    if signs.fresh_reading is not None or signs.has_clear_look:
        return None
    return Advice(
        job=Job.LEAVE,
        headline=say("Leave it alone and read it tomorrow."),
        reasons=(
            say(
                "It was {work} {ago} ago: give it the night before you read it.",
                work=word(signs.last_work),
                ago=hours(signs.days_since_worked * HOURS_A_DAY),
            ),
        ),
        amounts=(),
        expected=phrases.expected_tomorrow(signs),
        cautions=phrases.cap_reminder(signs),
        sureness=Sureness.LIKELY,
    )


def _no_fresh_reading(signs: Signs) -> Advice | None:
    if signs.fresh_reading is not None or signs.has_clear_look:
        return None
    return remedies.take_its_temperature(signs)


def _dry_by_hand(signs: Signs) -> Advice | None:
    if signs.view.squeeze not in ("dusty", "dry"):
        return None
    reasons = (
        say(
            "A squeezed handful is {feel}: below about {limit} decay slows and stops.",
            feel=word(signs.view.squeeze),
            limit=phrases.dry_share(signs),
        ),
    )
    reading = signs.fresh_reading
    if reading is not None and reading.temperature_c < signs.limits["wants_air_c"]:
        return remedies.turn(signs, list(reasons), Sureness.SEEN)
    return remedies.wet(signs, reasons, Sureness.SEEN)


def _leave_alone(signs: Signs) -> Advice | None:
    reading = signs.fresh_reading
    if reading is None or reading.temperature_c < signs.limits["leave_alone_low_c"]:
        return None
    reasons = [
        say(
            "It reads {now}. Between {low} and {high} a heap works best left alone.",
            now=temperature(reading.temperature_c),
            low=temperature(signs.limits["leave_alone_low_c"]),
            high=temperature(signs.limits["act_now_c"]),
        ),
    ]
    if signs.model_says_dry:
        return remedies.wet(
            signs, (*reasons, phrases.model_dry(signs)), Sureness.LIKELY, check_first=True
        )
    return Advice(
        job=Job.LEAVE,
        headline=say("Leave it alone and read it again tomorrow."),
        reasons=tuple(reasons),
        amounts=(),
        expected=phrases.expected_tomorrow(signs),
        cautions=phrases.cap_reminder(signs),
        sureness=Sureness.SEEN,
    )


def _still_young(signs: Signs) -> Advice | None:
    reading = signs.fresh_reading
    if reading is None or signs.days_since_worked >= signs.limits["reheat_wait_days"]:
        return None
    if signs.model_says_dry:
        return remedies.wet(signs, (phrases.model_dry(signs),), Sureness.LIKELY, check_first=True)
    return Advice(
        job=Job.LEAVE,
        headline=say("Give it time: read it again tomorrow."),
        reasons=(
            say(
                "It reads {now}, {age} after it was {work}. A heap is given about {wait} to heat.",
                now=temperature(reading.temperature_c),
                age=days(signs.days_since_worked),
                work=word(signs.last_work),
                wait=days(signs.limits["reheat_wait_days"]),
            ),
        ),
        amounts=(),
        expected=phrases.expected_tomorrow(signs),
        cautions=phrases.cap_reminder(signs),
        sureness=Sureness.LIKELY,
    )


def _cooling(signs: Signs) -> Advice | None:
    reading = signs.fresh_reading
    if reading is None or not signs.was_hot or reading.temperature_c < signs.limits["wants_air_c"]:
        return None
    return Advice(
        job=Job.LEAVE,
        headline=say("Nearly time to turn: read it again tomorrow."),
        reasons=(
            say(
                "It reads {now} and is coming down. Below {limit} it wants air and water.",
                now=temperature(reading.temperature_c),
                limit=temperature(signs.limits["wants_air_c"]),
            ),
        ),
        amounts=(),
        expected=phrases.expected_tomorrow(signs),
        cautions=phrases.cap_reminder(signs),
        sureness=Sureness.LIKELY,
    )


def _spent(signs: Signs) -> Advice | None:
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


def _wants_air(signs: Signs) -> Advice | None:
    reading = signs.fresh_reading
    if reading is None:
        return None
    if not signs.was_hot:
        return remedies.never_heated(signs)
    reason = say(
        "It reads {now} and was as hot as {peak}. Below {limit} it wants air and water.",
        now=temperature(reading.temperature_c),
        peak=temperature(signs.peak_c),
        limit=temperature(signs.limits["wants_air_c"]),
    )
    return remedies.turn(signs, [reason], Sureness.SEEN)


def _uncapped(signs: Signs) -> Advice | None:
    if signs.view.is_capped or signs.view.curing_days is not None:
        return None
    return Advice(
        job=Job.CAP,
        headline=say("Cap it with brown."),
        reasons=(
            say(
                "It lies open since it was {work}: a brown cap keeps flies, smell and drying away.",
                work=word(signs.last_work),
            ),
        ),
        amounts=(phrases.cap_amount(signs),),
        expected=(say("The cap stays dry and does not heat; that is right."),),
        cautions=phrases.DUST,
        sureness=Sureness.SEEN,
    )


#: Judged in this order; the first that answers is the day's job.
RULES: tuple[Rule, ...] = (
    _danger,
    _too_hot,
    _ammonia,
    _airless,
    _pests,
    _curing,
    _uncapped,
    _dry_by_hand,
    _ants,
    _just_worked,
    _no_fresh_reading,
    _leave_alone,
    _still_young,
    _cooling,
    _spent,
    _wants_air,
)
