"""What nose, hand and eye ask for: smells, pests, a dripping or crumbling handful, no cap.

Knows the signs of a look at the heap. Reads the thermometer only to choose between wetting and
turning a heap that the hand finds dry.
"""

from __future__ import annotations

from heapwright.advice import phrases, remedies
from heapwright.advice.signs import Signs
from heapwright.advice.types import Advice, Job, Sureness
from heapwright.sentences import say, word


def ammonia(signs: Signs) -> Advice | None:
    """Answer the smell of nitrogen going off."""
    if signs.view.smell != "ammonia":
        return None
    return remedies.mix_in_brown(
        signs, say("It smells of ammonia: more nitrogen than the heap can hold.")
    )


def airless(signs: Signs) -> Advice | None:
    """Answer a smell of rot: too little air."""
    smell = signs.view.smell
    if smell not in ("rotten egg", "sour"):
        return None
    reason = say(
        "It smells {smell}: too little air, most often because it is too wet or matted.",
        smell=word(smell),
    )
    return remedies.mix_in_brown(signs, reason)


def soaked(signs: Signs) -> Advice | None:
    """Answer a dripping handful, as long as it does not smell yet."""
    if signs.view.squeeze != "dripping":
        return None
    return remedies.mix_in_brown(
        signs,
        say("A squeezed handful drips: the pores are full of water and air cannot pass."),
    )


def pests(signs: Signs) -> Advice | None:
    """Answer flies and what comes for food."""
    pests = [p for p in signs.view.pests if p in phrases.PEST_REASON]
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


def ants(signs: Signs) -> Advice | None:
    """Answer ants, which like a dry heap."""
    if "ants" not in signs.view.pests or signs.is_damp_by_hand:
        return None
    return remedies.wet(
        signs,
        (say("Ants have moved in: they like a dry heap (common practice)."),),
        Sureness.LIKELY,
    )


def dry_by_hand(signs: Signs) -> Advice | None:
    """Answer a handful that crumbles."""
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


def uncapped(signs: Signs) -> Advice | None:
    """Answer a heap that lies open."""
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
