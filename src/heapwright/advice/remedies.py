"""Puts together the advice for one job: amounts, what follows, cautions beside the task.

Knows how a job is described once it is chosen. Does not choose: `rules` does.
"""

from __future__ import annotations

from heapwright.advice import phrases
from heapwright.advice.signs import Signs
from heapwright.advice.types import Advice, Job, Sureness
from heapwright.sentences import Sentence, days, say, temperature, volume, word


def never_heated(signs: Signs) -> Advice:
    """Return the advice for a heap that had its time and never got hot."""
    reading = signs.fresh_reading
    now = reading.temperature_c if reading else 0.0
    reasons = [
        say(
            "It reads {now}, {age} after it was {work}, and never got hot.",
            now=temperature(now),
            age=days(signs.days_since_worked),
            work=word(signs.last_work),
        ),
    ]
    if signs.view.volume_m3 < signs.limits["least_volume_m3"]:
        reasons.append(
            say(
                "It holds only {have}; well below {wish} a heap can hardly keep its heat.",
                have=volume(signs.view.volume_m3),
                wish=volume(signs.limits["good_volume_m3"]),
            )
        )
    if signs.is_dry:
        return turn(signs, [*reasons, phrases.model_dry(signs)], Sureness.LIKELY)
    reasons.append(say("It is not dry, so it is most likely short of green."))
    return Advice(
        job=Job.MIX_IN_GREEN,
        headline=say("Stir it and mix in fresh green."),
        reasons=tuple(reasons),
        amounts=(
            say(
                "About {amount} of fresh clippings, scraps or coffee grounds, spread through it.",
                amount=volume(signs.limits["green_share_for_heat"] * signs.view.volume_m3),
            ),
        ),
        expected=(
            say(
                "It should be warm to the hand within {wait}.",
                wait=days(signs.limits["reheat_wait_days"]),
            ),
        ),
        cautions=phrases.turning(signs),
        sureness=Sureness.GUESS,
        afterwards=(phrases.END_WITH_BROWN,),
    )


def take_its_temperature(signs: Signs) -> Advice:
    """Return the advice to read it first, with what the model expects."""
    reasons: tuple[Sentence, ...] = (
        (say("There is no reading yet."),)
        if signs.last_reading is None
        else (say("The last reading is {ago} old.", ago=days(signs.last_reading.hours_ago / 24)),)
    )
    if signs.model_says_dry:
        reasons = (*reasons, phrases.model_dry(signs))
    return Advice(
        job=Job.READ,
        headline=say("Take its temperature first."),
        reasons=reasons,
        amounts=(say("Push the thermometer into the middle and wait until it stands still."),),
        expected=phrases.expected_tomorrow(signs),
        cautions=(),
        sureness=Sureness.GUESS,
    )


def leave_until_tomorrow(
    signs: Signs, headline: Sentence, reason: Sentence, sureness: Sureness
) -> Advice:
    """Return the advice to leave it alone for a day, with what to expect then."""
    return Advice(
        job=Job.LEAVE,
        headline=headline,
        reasons=(reason,),
        amounts=(),
        expected=phrases.expected_tomorrow(signs),
        cautions=phrases.cap_reminder(signs),
        sureness=sureness,
    )


def turn(signs: Signs, reasons: list[Sentence], sureness: Sureness, *, hot: bool = False) -> Advice:
    """Return the advice to turn: into the next bin if it is free, else where it stands."""
    free_bin = signs.view.free_bin
    job = Job.MOVE if free_bin else Job.STIR
    headline = (
        say("Move it to {bin}, outside in.", bin=word(free_bin))
        if free_bin
        else say("Stir it where it stands, outside in.")
    )
    return Advice(
        job=job,
        headline=headline,
        reasons=tuple(reasons),
        amounts=phrases.water_while_turning(signs),
        expected=phrases.after_turning(signs, hot=hot),
        cautions=phrases.turning(signs),
        sureness=sureness,
        afterwards=(phrases.END_WITH_BROWN,),
    )


def wet(
    signs: Signs, reasons: tuple[Sentence, ...], sureness: Sureness, *, check_first: bool = False
) -> Advice:
    """Return the advice to wet, with the amount that brings it to the wished moisture."""
    need = signs.view.water_to_target_kg
    if need is None or need.likely < signs.limits["worth_wetting_kg"]:
        amounts: tuple[Sentence, ...] = (
            say("Until a squeezed handful feels like a wrung-out sponge."),
        )
    else:
        amounts = (
            phrases.water_amount(
                signs,
                need,
                "About {likely} ({low} to {high}), slowly, through holes poked into the middle.",
                "About {likely} (at most {high}), slowly, through holes poked into the middle.",
            ),
        )
    if check_first:
        amounts = (
            say("Squeeze a handful from the middle first; wet it only if it crumbles."),
            *amounts,
        )
    return Advice(
        job=Job.WET,
        headline=say("Wet it where it is dry."),
        reasons=reasons,
        amounts=amounts,
        expected=(say("A dry heap warms again within a day or two of wetting."),),
        cautions=phrases.WETTING,
        sureness=sureness,
        afterwards=phrases.cap_reminder(signs),
    )


def mix_in_brown(signs: Signs, reason: Sentence) -> Advice:
    """Return the advice to stir in dry brown against smell and wetness."""
    return Advice(
        job=Job.MIX_IN_BROWN,
        headline=say("Stir it and mix in dry brown."),
        reasons=(reason,),
        amounts=(
            say(
                "About {amount} of dry shredded leaves or straw, spread through it.",
                amount=volume(signs.limits["brown_share_for_smell"] * signs.view.volume_m3),
            ),
        ),
        expected=(say("The smell should be gone within two days."),),
        cautions=phrases.turning(signs),
        sureness=Sureness.SEEN,
        afterwards=(phrases.END_WITH_BROWN,),
    )
