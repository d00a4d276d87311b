"""The sentences that several rules share: cautions, amounts, what to expect.

Knows wording and the values that go into it. Decides nothing. Cautions follow the reference
sheets named in docs/science.md (lungs, steam, fire, lifting) and are kept beside their task.
"""

from __future__ import annotations

from heapwright.advice.signs import Signs
from heapwright.advice.types import Interval
from heapwright.sentences import Sentence, Value, days, length, say, share, temperature, water

FIRE: tuple[Sentence, ...] = (
    say("Do not open a smoking or scorched heap: air feeds the fire."),
    say("Stay upwind, keep people away and call the fire service if you see or smell smoke."),
)
DUST: tuple[Sentence, ...] = (
    say("Damp dry leaves first and stay upwind; wear a mask that fits in dust."),
)
STEAM: tuple[Sentence, ...] = (
    say("Hot steam: open it from the side and let it vent before you lean over."),
)
FORKING: tuple[Sentence, ...] = (
    say(
        "Spores and dust: keep it damp, stay upwind, wear a mask that fits. With asthma, lung "
        "disease or weak immunity let somebody else turn it."
    ),
    say("Lift with half-full barrows and a straight back."),
)
HANDLING: tuple[Sentence, ...] = (say("Gloves and closed shoes; wash your hands afterwards."),)
WETTING: tuple[Sentence, ...] = (say("Use a gentle flow and do not breathe the mist or steam."),)
USING: tuple[Sentence, ...] = (
    say("Damp it before you fork or screen it, and do not breathe the dust."),
    say("Heat in a home heap is no proof of hygiene: wash hands and produce."),
)
READY_TESTS: tuple[Sentence, ...] = (
    say(
        "Seal a moist handful in a bag for some days: it should smell of earth, not of ammonia "
        "or rot."
    ),
    say("Sow radish in a pot of it: at least three in four seeds should come up and grow."),
)
END_WITH_BROWN = say("End with a cap of brown over everything, then write down what you did.")
PEST_REASON = {
    "flies": say("Flies find food that lies open or a surface that stays cool and wet."),
    "rats": say("Rats come for food scraps, cooked food, meat and dairy."),
    "mice": say("Mice come for food scraps and nest where it is dry."),
    "raccoons": say("Raccoons come for food scraps, cooked food, meat and dairy."),
}


def dry_share(signs: Signs) -> Value:
    """Return the moisture below which decay slows."""
    return share(signs.limits["dry_moisture"])


def model_dry(signs: Signs) -> Sentence:
    """Return the sentence that the model has the heap dry, with its range."""
    moisture = signs.view.moisture
    if moisture is None:
        return say("It may be dry; squeeze a handful.")
    return say(
        "By the model it holds about {likely} water ({low} to {high}); {limit} is too dry.",
        likely=share(moisture.likely),
        low=share(moisture.low),
        high=share(moisture.high),
        limit=dry_share(signs),
    )


def expected_tomorrow(signs: Signs) -> tuple[Sentence, ...]:
    """Return what the thermometer should say in a day, as a range, if the model knows."""
    ahead = signs.view.core_tomorrow_c
    if ahead is None:
        return ()
    return (
        say(
            "Expect {low} to {high} this time tomorrow.",
            low=temperature(ahead.low),
            high=temperature(ahead.high),
        ),
    )


def after_pests(signs: Signs, pest: str) -> Sentence:
    """Return what must follow so that the pest does not come back."""
    if pest == "flies":
        return say(
            "Turn all of it into the heat within {limit}: a fly needs about that long from egg to "
            "wing.",
            limit=days(signs.limits["fly_turn_days"]),
        )
    return say("If they come back, take food scraps out of this bin and close gaps with wire mesh.")


def cap_amount(signs: Signs) -> Sentence:
    """Return how deep the cap should be."""
    return say(
        "A hand's breadth or so, {depth}, of dry leaves, straw or shreds over all of it.",
        depth=length(signs.limits["cap_depth_m"]),
    )


def cap_reminder(signs: Signs) -> tuple[Sentence, ...]:
    """Return the reminder to cover, when nothing lies on top."""
    return () if signs.view.is_capped else (cap_amount(signs),)


def water_amount(
    signs: Signs, need: Interval, ranged: str, at_most: str, **values: Value
) -> Sentence:
    """Return a sentence with an amount of water, by whether its low end is worth naming.

    Both templates hold {likely} and {high}, `ranged` also {low}.
    """
    return say(
        at_most if need.low < signs.limits["least_named_kg"] else ranged,
        likely=water(need.likely),
        low=water(need.low),
        high=water(need.high),
        **values,
    )


def water_while_turning(signs: Signs) -> tuple[Sentence, ...]:
    """Return how much water goes in while turning, from the mixture's moisture."""
    need = signs.view.water_to_target_kg
    if signs.view.squeeze == "dripping":
        return (say("No water: it is wet enough."),)
    if need is None:
        return (
            say("Wet each forkful that is dry, until a handful feels like a wrung-out sponge."),
        )
    if need.likely < signs.limits["worth_wetting_kg"]:
        return (
            say("Little or no water: a squeezed handful should give one or two drops at most."),
        )
    return (
        water_amount(
            signs,
            need,
            "About {likely} of water ({low} to {high}) while you turn, to bring it to {target}.",
            "About {likely} of water (at most {high}) while you turn, to bring it to {target}.",
            target=share(signs.limits["target_moisture"]),
        ),
        say("Put what was outside into the middle, where the heat is."),
    )


def after_turning(signs: Signs, *, hot: bool) -> tuple[Sentence, ...]:
    """Return what should be seen after a turn."""
    if hot:
        return (say("It cools at once and may climb again within a day; read it tomorrow."),)
    return (
        say(
            "If it has food left it is hot again within {wait}; if it stays cool, it is done.",
            wait=days(signs.limits["reheat_wait_days"]),
        ),
    )


def turning(signs: Signs) -> tuple[Sentence, ...]:
    """Return the cautions of forking a heap over."""
    reading = signs.last_reading
    if reading is not None and reading.temperature_c >= signs.limits["leave_alone_low_c"]:
        return STEAM + FORKING
    return FORKING
