"""Lays out the remedy for a cause: amounts from what is on hand, cautions, and what comes of it.

Knows which amounts each kind of remedy takes and what it does to the modelled heap. Words without
amounts are `diagnose_texts`; the arithmetic is `diagnose_amounts`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from heapwright.advice import phrases
from heapwright.advice.signs import Signs
from heapwright.advice.types import Interval
from heapwright.diagnosis.tables import limits
from heapwright.errors import HeapwrightError
from heapwright.heap.types import ActionKind, Fill, HeapAction
from heapwright.mixing.words import containers, low
from heapwright.sentences import (
    Measure,
    Sentence,
    Value,
    days,
    say,
    share,
    span,
    volume,
    water,
    word,
)
from heapwright.wording import worded
from heapwright.workshop import diagnose_amounts as amounts
from heapwright.workshop.diagnose_answer import AfterRemedy, RemedyShown
from heapwright.workshop.diagnose_texts import TEXTS
from heapwright.workshop.garden import Garden

if TYPE_CHECKING:
    from heapwright.workshop.model import HeapModel


@dataclass(frozen=True, slots=True)
class Planned:
    """The amounts of a remedy in words, and what it does to the heap; nothing done is no action."""

    told: tuple[Sentence, ...] = ()
    actions: tuple[HeapAction, ...] = ()


@dataclass(frozen=True, slots=True)
class Case:
    """The heap a remedy is for."""

    garden: Garden
    model: HeapModel
    signs: Signs

    def stir(self, water_kg: float = 0.0) -> HeapAction:
        """Return a turn where it stands, now."""
        return HeapAction(self.model.standing.hour, ActionKind.STIR, water_kg=water_kg)

    def add(self, fill: Fill) -> tuple[HeapAction, HeapAction]:
        """Return something put on top and turned in, now."""
        return HeapAction(self.model.standing.hour, ActionKind.ADD, fill=fill), self.stir()


def remedy(kind: str, garden: Garden, model: HeapModel | None, signs: Signs) -> RemedyShown:
    """Return the remedy of a kind for this heap.

    Parameters
    ----------
    kind : str
        As the table of causes names it.
    garden : Garden
    model : HeapModel or None
        Without it no amount and no forecast is told.
    signs : Signs
        For the cautions that depend on how hot it is.

    """
    text = TEXTS[kind]
    plan = Planned()
    if model is not None and kind in _PLANS:
        plan = _PLANS[kind](Case(garden, model, signs))
    turning = phrases.turning(signs) if text.is_turning else ()
    return RemedyShown(
        kind=kind,
        headline=text.headline,
        amounts=(*plan.told, *text.steps),
        expected=text.expected,
        cautions=(*text.cautions, *(one for one in turning if one not in text.cautions)),
        after=None if model is None else after(model, plan.actions),
    )


def stand_back() -> RemedyShown:
    """Return what to do about a heap that may be burning: nothing, from upwind."""
    return RemedyShown(
        kind="stand back",
        headline=say("Stand back and do not open it: it may be burning inside."),
        amounts=(),
        expected=(say("Read it again from upwind in an hour, without opening it."),),
        cautions=phrases.FIRE,
        after=None,
    )


def _wet(case: Case) -> Planned:
    target = limits()["target_moisture"]
    need = amounts.water_needed(case.model, target)
    if need.likely < case.signs.limits["worth_wetting_kg"]:
        told = say(
            "By the model it holds about {now} water and lacks little: wet only what crumbles in "
            "the hand, {most} at most.",
            now=share(amounts.moisture_now(case.model).likely),
            most=water(max(need.high, case.signs.limits["worth_wetting_kg"])),
        )
        return Planned((told,), (case.stir(need.likely),))
    now = amounts.moisture_now(case.model)
    told = phrases.water_amount(
        case.signs,
        need,
        "About {likely} of water ({low} to {high}) while you turn, to bring it from about {now} "
        "to {target}.",
        "About {likely} of water (at most {high}) while you turn, to bring it from about {now} to "
        "{target}.",
        now=share(now.likely),
        target=share(target),
    )
    feel = say("Go by the hand: a squeezed handful should feel like a wrung-out sponge.")
    return Planned((told, feel), (case.stir(need.likely),))


def _cool(case: Case) -> Planned:
    need = amounts.water_needed(case.model, limits()["target_moisture"])
    if need.likely < case.signs.limits["worth_wetting_kg"]:
        return Planned((say("It is damp enough: little or no water."),), (case.stir(),))
    told = phrases.water_amount(
        case.signs,
        need,
        "About {likely} of water ({low} to {high}) while you turn.",
        "About {likely} of water (at most {high}) while you turn.",
    )
    return Planned((told,), (case.stir(need.likely),))


def _dry_brown(case: Case) -> Planned:
    target = limits()["dried_moisture"]
    found = amounts.brown_needed(case.garden, case.model, target)
    return _mixed_in(case, found, "moisture") if found else _usual_brown(case)


def _brown(case: Case) -> Planned:
    found = amounts.brown_for_nitrogen(case.garden, case.model, limits()["target_c_to_n"])
    return _mixed_in(case, found, "C:N") if found else _usual_brown(case)


def _green(case: Case) -> Planned:
    found = amounts.green_needed(case.garden, case.model, limits()["target_c_to_n"])
    if found is not None:
        return _mixed_in(case, found, "C:N")
    volume_m3 = case.signs.limits["green_share_for_heat"] * case.signs.view.volume_m3
    told = say(
        "About {amount} of fresh clippings, scraps or coffee grounds, spread through it.",
        amount=volume(volume_m3),
    )
    return Planned((told,), case.add(amounts.usual_fill(amounts.GREEN, volume_m3)))


def _usual_brown(case: Case) -> Planned:
    """Return the usual share of the heap, where no balance asks for an amount."""
    volume_m3 = case.signs.limits["brown_share_for_smell"] * case.signs.view.volume_m3
    told = say(
        "About {amount} of dry shredded leaves or straw, spread through it.",
        amount=volume(volume_m3),
    )
    return Planned((told,), case.add(amounts.usual_fill(amounts.BROWN, volume_m3)))


def _mixed_in(case: Case, found: amounts.Needed, aim: str) -> Planned:
    """Say an amount by the balance, from what is on hand where there is some."""
    showing = _ratio if aim == "C:N" else share
    told = say(
        "{count} of {material} ({volume}){hand}: brings its {aim} from about {before} to about "
        "{after}.",
        count=_counted(found.containers, found.lot.container_name),
        material=word(low(found.lot.material.name)),
        volume=volume(found.volume_m3),
        hand=word(", on hand" if found.lot.key else ", none on hand"),
        aim=word(aim),
        before=showing(found.before),
        after=showing(found.after),
    )
    more = (say("That is all there is or all it can take at once; see again in some days."),)
    return Planned((told, *(more if found.is_all else ())), case.add(found.fill))


def _ratio(value: float) -> Value:
    return Value(value, Measure.RATIO)


def _counted(count: Interval, name: str) -> Value:
    """Return whole containers, "3 to 5 pails"; at least one is carried."""
    ends = sorted({max(1, round(count.low)), max(1, round(count.high))})
    if len(ends) == 1:
        return word(containers(ends[0], name))
    return word(worded("{ends} to {ends_2}", ends=ends[0], ends_2=containers(ends[1], name)))


def _turn(case: Case) -> Planned:
    return Planned((), (case.stir(),))


def _loosen(case: Case) -> Planned:
    return _usual_brown(case)


def _enlarge(case: Case) -> Planned:
    wished = case.signs.limits["good_volume_m3"]
    have = float(np.median(case.model.standing.state.volume_m3))
    lacking = wished - have
    if lacking <= 0:
        return Planned()
    told = say(
        "It holds about {have}; {more} more of green and brown in equal parts makes {wish}.",
        have=volume(have),
        more=volume(lacking),
        wish=volume(wished),
    )
    likely = case.model.history.fills[0]
    factor = lacking / likely.volume_m3
    fill = replace(
        likely, wet_mass_kg=likely.wet_mass_kg * factor, volume_m3=lacking, temperature_c=None
    )
    return Planned((told,), case.add(fill))


_PLANS: Mapping[str, Callable[[Case], Planned]] = {
    "wet": _wet,
    "cool": _cool,
    "dry brown": _dry_brown,
    "brown": _brown,
    "green": _green,
    "enlarge": _enlarge,
    "loosen": _loosen,
    "turn": _turn,
    "break up": _turn,
    "take out food": _loosen,
    "drain": _turn,
    "outside in": _turn,
    "cure": _turn,
}


def after(model: HeapModel, actions: tuple[HeapAction, ...]) -> AfterRemedy | None:
    """Return the hottest the thermometer should read in the next days, with and without.

    None when nothing is done that the model knows of, or it cannot be run on.
    """
    if not actions:
        return None
    ahead = int(min(24 * limits()["ahead_days"], model.weather.hours - model.standing.hour))
    if ahead < 24:
        return None
    try:
        done, alone = _hottest(model, actions, ahead), _hottest(model, (), ahead)
    except HeapwrightError:
        return None
    told = say(
        "In the {days} after, the thermometer should reach {done}; left alone, {alone}.",
        days=days(ahead / 24),
        done=span(done.low, done.high, Measure.TEMPERATURE),
        alone=span(alone.low, alone.high, Measure.TEMPERATURE),
    )
    return AfterRemedy(ahead / 24, done, alone, told)


def _hottest(model: HeapModel, actions: tuple[HeapAction, ...], ahead: int) -> Interval:
    """Return the highest reading of the days ahead, from the second day on when it was worked."""
    from heapwright.fitting.settings import filter_settings, with_unfollowed
    from heapwright.heap.resume import FOLLOWING_STRIDE, go_on

    hour = model.standing.hour
    run, _ = go_on(
        model.standing,
        model.weather,
        hour + ahead,
        actions,
        probe_depth_m=model.probe_depth_m,
        stride_hours=FOLLOWING_STRIDE,
    )
    lead = np.arange(run.probe_c.shape[0], dtype=np.float64)
    course = with_unfollowed(run.probe_c, lead, filter_settings(), seed=0)
    return model.interval(course[12:].max(axis=0))
