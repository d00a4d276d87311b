"""What the thermometer asks for: from fire, through the heat that is left alone, to a cold heap.

Knows the limits of temperature and the days a heap is given to reach them. Asks of hand and nose
only whether they spoke so clearly that no reading is needed.
"""

from __future__ import annotations

from heapwright.advice import phrases, remedies
from heapwright.advice.signs import HOURS_A_DAY, Signs
from heapwright.advice.types import Advice, Job, Sureness
from heapwright.sentences import days, hours, say, temperature, word


def danger(signs: Signs) -> Advice | None:
    """Answer a heap so hot that it may burn inside."""
    reading = signs.last_reading
    reasons = []
    if "smoking" in signs.view.looks:
        reasons.append(say("It smokes or smells of burning."))
    if reading is not None and reading.temperature_c >= signs.limits["stand_back_c"]:
        reasons.append(
            say(
                "It read {now}; from {limit} a heap can char.",
                now=temperature(reading.temperature_c),
                limit=temperature(signs.limits["stand_back_c"]),
            )
        )
    if not reasons:
        return None
    return Advice(
        job=Job.STAND_BACK,
        headline=say("Stand back and do not dig: it may be burning inside."),
        reasons=tuple(reasons),
        amounts=(),
        expected=(say("Read it again from upwind in an hour, without opening it."),),
        cautions=phrases.FIRE,
        sureness=Sureness.SEEN,
    )


def too_hot(signs: Signs) -> Advice | None:
    """Answer a heap hot enough to want air now."""
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


def just_worked(signs: Signs) -> Advice | None:
    """Answer a heap that was built or turned within the night."""
    if signs.days_since_worked * HOURS_A_DAY >= signs.limits["rest_hours"]:
        return None
    if signs.fresh_reading is not None or signs.has_clear_look:
        return None
    reason = say(
        "It was {work} {ago} ago: give it the night before you read it.",
        work=word(signs.last_work),
        ago=hours(signs.days_since_worked * HOURS_A_DAY),
    )
    return remedies.leave_until_tomorrow(
        signs, say("Leave it alone and read it tomorrow."), reason, Sureness.LIKELY
    )


def no_fresh_reading(signs: Signs) -> Advice | None:
    """Answer a heap that nobody has read today."""
    if signs.fresh_reading is not None or signs.has_clear_look:
        return None
    return remedies.take_its_temperature(signs)


def leave_alone(signs: Signs) -> Advice | None:
    """Answer a heap in the range that works best left alone."""
    reading = signs.fresh_reading
    if reading is None or reading.temperature_c < signs.limits["leave_alone_low_c"]:
        return None
    reason = say(
        "It reads {now}. Between {low} and {high} a heap works best left alone.",
        now=temperature(reading.temperature_c),
        low=temperature(signs.limits["leave_alone_low_c"]),
        high=temperature(signs.limits["act_now_c"]),
    )
    if signs.model_says_dry:
        return remedies.wet(
            signs, (reason, phrases.model_dry(signs)), Sureness.LIKELY, check_first=True
        )
    return remedies.leave_until_tomorrow(
        signs, say("Leave it alone and read it again tomorrow."), reason, Sureness.SEEN
    )


def still_young(signs: Signs) -> Advice | None:
    """Answer a heap that has not had its days to heat."""
    reading = signs.fresh_reading
    if reading is None or signs.days_since_worked >= signs.limits["reheat_wait_days"]:
        return None
    if signs.model_says_dry:
        return remedies.wet(signs, (phrases.model_dry(signs),), Sureness.LIKELY, check_first=True)
    reason = say(
        "It reads {now}, {age} after it was {work}. A heap is given about {wait} to heat.",
        now=temperature(reading.temperature_c),
        age=days(signs.days_since_worked),
        work=word(signs.last_work),
        wait=days(signs.limits["reheat_wait_days"]),
    )
    return remedies.leave_until_tomorrow(
        signs, say("Give it time: read it again tomorrow."), reason, Sureness.LIKELY
    )


def cooling(signs: Signs) -> Advice | None:
    """Answer a hot heap that is coming down."""
    reading = signs.fresh_reading
    if reading is None or not signs.was_hot or reading.temperature_c < signs.limits["wants_air_c"]:
        return None
    reason = say(
        "It reads {now} and is coming down. Below {limit} it wants air and water.",
        now=temperature(reading.temperature_c),
        limit=temperature(signs.limits["wants_air_c"]),
    )
    return remedies.leave_until_tomorrow(
        signs, say("Nearly time to turn: read it again tomorrow."), reason, Sureness.LIKELY
    )


def wants_air(signs: Signs) -> Advice | None:
    """Answer a heap that cooled, or never got hot."""
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
