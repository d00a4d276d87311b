"""Says what each option is as a job: headline, amounts, cautions.

Knows wording, and which of the advice's phrases go with which option. Decides nothing, and knows
nothing of what comes of it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from heapwright.advice import phrases, remedies
from heapwright.advice.signs import Signs
from heapwright.advice.types import Advice, Interval, Job, Sureness
from heapwright.mixing.words import containers, high, joined, low
from heapwright.sentences import (
    Measure,
    Sentence,
    Value,
    length,
    say,
    share,
    temperature,
    word,
)
from heapwright.wording import dated, worded
from heapwright.workshop.garden import Garden

if TYPE_CHECKING:
    from heapwright.decisions.types import Addition, Option, Range

#: Stands in until the reasons of the comparison are put in its place.
NO_REASON = say("")
#: Names a day that lies so many days ahead: "Friday".
DayNamer = Callable[[int], str]
PLAIN_WORDS = {
    "leave": "leaving it alone",
    "cap": "capping it",
    "wet": "wetting it",
    "use": "using it",
    "insulate": "setting bales round it",
    "stir": "stirring it",
    "stir and wet": "stirring and wetting it",
    "stir with brown": "stirring in brown",
    "stir with green": "stirring in green",
    "move": "moving it",
    "move and wet": "moving and wetting it",
    "move with brown": "moving it with brown",
    "move with green": "moving it with green",
    "spread out to cure": "spreading it out to cure",
}
_JOBS = {
    "leave": Job.LEAVE,
    "cap": Job.CAP,
    "wet": Job.WET,
    "use": Job.USE,
    "insulate": Job.INSULATE,
    "stir": Job.STIR,
    "stir and wet": Job.STIR,
    "stir with brown": Job.MIX_IN_BROWN,
    "stir with green": Job.MIX_IN_GREEN,
    "move": Job.MOVE,
    "move and wet": Job.MOVE,
    "move with brown": Job.MIX_IN_BROWN,
    "move with green": Job.MIX_IN_GREEN,
    "spread out to cure": Job.CURE,
}


def named_days(garden: Garden) -> DayNamer:
    """Return what names the days ahead in the garden's own time zone."""
    today = garden.now().astimezone(ZoneInfo(garden.state().settings.time_zone))

    def name(ahead: int) -> str:
        return dated(today + timedelta(days=ahead), "EEEE")

    return name


def plain_words(option: Option, name_day: DayNamer) -> str:
    """Return an option in the middle of a sentence: "moving it on Friday"."""
    words = PLAIN_WORDS[option.doing.value]
    return (
        worded("{words} on {in_days}", words=words, in_days=name_day(option.in_days))
        if option.in_days
        else words
    )


def amounts_of_addition(addition: Addition) -> tuple[Sentence, ...]:
    """Return how many containers of what go in, and what that makes of the heap."""
    what = joined(
        [
            worded(
                "{count} of {material_name}",
                count=containers(count, part.container_name),
                material_name=low(part.material_name),
            )
            for part, count in addition.lines
        ]
    )
    is_brown = addition.lines[0][0].is_brown
    template = (
        "{what} while you turn: that brings {before} water to {after}."
        if is_brown
        else "{what} while you turn: that brings C:N {before} to {after}."
    )
    before, after = (
        (share(addition.moisture_before), share(addition.moisture_after))
        if is_brown
        else (
            Value(addition.c_to_n_before, Measure.RATIO),
            Value(addition.c_to_n_after, Measure.RATIO),
        )
    )
    told = say(template, what=word(high(what)), before=before, after=after)
    return (told,) if addition.is_enough else (told, say("That is all there is on hand for it."))


def lines_of_addition(addition: Addition | None) -> tuple[tuple[str, int], ...]:
    """Return the lots that go in by key, and how many containers of each."""
    return () if addition is None else tuple((part.key, count) for part, count in addition.lines)


def job_of(option: Option, signs: Signs) -> Advice:
    """Return an option as the advice words it, before reasons and what to expect."""
    doing = option.doing
    job = _JOBS[doing.value]
    if doing.value == "leave":
        return remedies.leave_until_tomorrow(
            signs, say("Leave it alone and read it tomorrow."), NO_REASON, Sureness.GUESS
        )
    if doing.value == "wet":
        found = remedies.wet(signs, (), Sureness.GUESS, check_first=not signs.is_dry)
        return replace(found, expected=())
    if doing.is_turn and job is not Job.CURE:
        return replace(
            remedies.turn(signs, [], Sureness.GUESS),
            job=job,
            headline=_turn_headline(option),
            amounts=_turn_amounts(option, signs),
            lines=lines_of_addition(option.addition),
        )
    return Advice(
        job=job,
        headline=_other_headline(option),
        reasons=(),
        amounts=_other_amounts(option, signs),
        expected=(),
        cautions=_other_cautions(option, signs),
        sureness=Sureness.GUESS,
    )


def _turn_headline(option: Option) -> Sentence:
    bin_, what = word(option.to_bin), word("brown" if "brown" in option.doing else "green")
    if option.addition is not None:
        if option.to_bin:
            return say("Move it to {bin}, outside in, and mix in {what}.", bin=bin_, what=what)
        return say("Stir it where it stands and mix in {what}.", what=what)
    if option.doing.gives_water:
        if option.to_bin:
            return say("Move it to {bin}, outside in, and wet it.", bin=bin_)
        return say("Stir it where it stands, outside in, and wet it.")
    if option.to_bin:
        return say("Move it to {bin}, outside in.", bin=bin_)
    return say("Stir it where it stands, outside in.")


def _turn_amounts(option: Option, signs: Signs) -> tuple[Sentence, ...]:
    if option.addition is not None:
        return amounts_of_addition(option.addition)
    if option.water_range_kg is None:
        return (_why_no_water(signs),)
    return (
        _water(
            option.water_range_kg,
            signs,
            "About {likely} of water ({low} to {high}) while you turn, to bring it to {target}.",
            "About {likely} of water (at most {high}) while you turn, to bring it to {target}.",
        ),
        say("Put what was outside into the middle, where the heat is."),
    )


def _why_no_water(signs: Signs) -> Sentence:
    if signs.is_damp_by_hand:
        return say("No water: it is wet enough.")
    need = signs.view.water_to_target_kg
    if need is not None and need.likely >= signs.limits["worth_wetting_kg"]:
        return say("Without water, dry as it is.")
    return say("No water: damp enough by the model. Wet only what a squeezed handful shows dry.")


def _water(need: Range, signs: Signs, ranged: str, at_most: str) -> Sentence:
    return phrases.water_amount(
        signs,
        Interval(need.low, need.likely, need.high),
        ranged,
        at_most,
        target=share(signs.limits["target_moisture"]),
    )


def _other_headline(option: Option) -> Sentence:
    return {
        "cap": say("Cap it with brown."),
        "insulate": say("Set straw bales round it against the cold."),
        "spread out to cure": say("Spread it out to cure."),
        "use": say("Use it: it passed its tests."),
    }[option.doing.value]


def _other_amounts(option: Option, signs: Signs) -> tuple[Sentence, ...]:
    from heapwright.decisions.tables import limits

    return {
        "cap": (phrases.cap_amount(signs),),
        "insulate": (say("Bales on every side the wind reaches, as high as the heap."),),
        "spread out to cure": (
            say(
                "About {depth} deep, with a cap of brown over it.",
                depth=length(limits()["spread_height_m"]),
            ),
        ),
        "use": (),
    }[option.doing.value]


def _other_cautions(option: Option, signs: Signs) -> tuple[Sentence, ...]:
    return {
        "cap": phrases.DUST,
        "insulate": (
            say("Lift with a straight back; keep dry straw away from any flame."),
            say(
                "A bale that touches a heap hotter than {limit} is watched closely for fire.",
                limit=temperature(signs.limits["act_now_c"]),
            ),
        ),
        "spread out to cure": phrases.turning(signs),
        "use": phrases.USING,
    }[option.doing.value]
