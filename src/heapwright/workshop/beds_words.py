"""What is said of a bed and of all of them.

Knows wording. Reckons nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from datetime import date

from heapwright.garden.beds_types import Bed, Volume
from heapwright.garden.nitrogen import Nitrogen
from heapwright.garden.tables import depths
from heapwright.sentences import Measure, Sentence, Value, days, inside, say, span, volume, word
from heapwright.wording import dated
from heapwright.workshop.beds_answer import ExpectedCompost

#: Less is no amount that anybody buys or carries. [m³]
WORTH_TELLING_M3 = 0.001
#: Sacks are sold by the cubic foot or the litre: told in the unit of one this big. [m³]
_BIG_SACK_M3 = 0.15


def range_of(found: Volume) -> Sentence:
    """Return a range of compost with its likely value."""
    if found.high - found.low < WORTH_TELLING_M3:
        return say("{likely}", likely=volume(found.likely))
    return say(
        "{ends}, likely {likely}",
        ends=span(found.low, found.high, Measure.VOLUME),
        # In the unit of the range: 0 to 11 ft³, likely 3.6 ft³, and not 27 gal.
        likely=volume(found.likely, like=_middle(found)),
    )


def _middle(found: Volume) -> float:
    return math.sqrt(found.low * found.high) or found.high


def due_told(due: date, days_left: int) -> Sentence:
    """Return when the next layer is due."""
    day = word(dated(due, "d MMMM y"))
    if days_left == 0:
        return say("Due today.")
    if days_left < 0:
        return say("It was due on {day}, {late} ago.", day=day, late=days(-days_left))
    return say("Due on {day}, in {ahead}.", day=day, ahead=days(days_left))


def line_told(
    *,
    laid_m3: float,
    unmeasured: int,
    still_m3: Volume,
    own_m3: Volume,
    buy_m3: Volume,
    is_looked_ahead: bool,
) -> Iterator[Sentence]:
    """Yield what is said of a bed: what lies there, what it gets, what is missing."""
    if laid_m3 > 0:
        yield say("{laid} lies there for this round already.", laid=volume(laid_m3))
    if unmeasured:
        yield say(
            "A heap was used up on it and nobody said how much: that counts as nothing. Log the "
            "amount to have it counted."
        )
    if not is_looked_ahead:
        yield say("That is too far ahead to say which compost it gets.")
    elif still_m3.likely < WORTH_TELLING_M3:
        yield say("Nothing is missing.")
    else:
        if own_m3.high < WORTH_TELLING_M3:
            yield say("No own compost is there for it in time.")
        else:
            yield say("Own compost for it: {own}.", own=inside(range_of(own_m3)))
        if buy_m3.high >= WORTH_TELLING_M3:
            yield say(
                "Missing for the usual layer: {buy}. Buy it in, or lay it thinner.",
                buy=inside(range_of(buy_m3)),
            )


def nitrogen_told(nitrogen: Nitrogen, bed: Bed) -> Sentence:
    """Return the nitrogen that plants get in the first year, as a range."""
    each = span(nitrogen.low_kg, nitrogen.high_kg, Measure.MASS)
    if bed.area_m2 is None:
        return say("It gives its plants {mass} of nitrogen in the first year.", mass=each)
    return say(
        "The whole layer gives its plants {mass} of nitrogen in the first year, 5 to 15 % of what "
        "is in it.",
        mass=each,
    )


def summary(
    wanted: Volume,
    own: Volume,
    buy: Volume,
    sacks: Sequence[int],
    store_m3: float,
    until: date,
) -> Iterator[Sentence]:
    """Yield what is said of all beds together."""
    yield say(
        "The beds due by {until} want {wanted}.",
        until=word(dated(until, "d MMMM y")),
        wanted=inside(range_of(wanted)),
    )
    if store_m3 >= WORTH_TELLING_M3:
        yield say("Put by: {store}.", store=volume(store_m3))
    if own.high < WORTH_TELLING_M3:
        yield say("No own compost is there in time for them.")
    else:
        yield say("Own compost in time for them: {own}.", own=inside(range_of(own)))
    if buy.high < WORTH_TELLING_M3:
        yield say("Nothing has to be bought in.")
        return
    each = volume(depths()["sack_m3"].typical, like=_BIG_SACK_M3)
    if sacks[2] <= 1 and sacks[0] == 0:
        yield say(
            "To buy in for usual layers: {buy}; that is one sack of {each} at most.",
            buy=inside(range_of(buy)),
            each=each,
        )
        return
    if sacks[2] == 1:
        yield say(
            "To buy in for usual layers: {buy}; that is one sack of {each}.",
            buy=inside(range_of(buy)),
            each=each,
        )
        return
    if sacks[0] == 0:
        yield say(
            "To buy in for usual layers: {buy}; that is {sacks} sacks of {each} at most.",
            buy=inside(range_of(buy)),
            sacks=Value(sacks[2], Measure.COUNT),
            each=each,
        )
        return
    yield say(
        "To buy in for usual layers: {buy}; that is {sacks} sacks of {each}.",
        buy=inside(range_of(buy)),
        sacks=span(sacks[0], sacks[2], Measure.COUNT),
        each=each,
    )


def expected_told(one: ExpectedCompost) -> Sentence:
    """Return what is expected of a heap."""
    return say(
        "{name}: {amount}, likely on {day}.",
        name=word(one.name),
        amount=inside(range_of(one.volume_m3)),
        day=word(dated(one.on, "d MMMM y")),
    )


def no_date(name: str) -> Sentence:
    """Return that nothing tells when a heap is ready."""
    return say("{name} is not counted: nothing tells yet when it is ready.", name=word(name))


def no_amount(name: str) -> Sentence:
    """Return that nothing tells how much a heap gives."""
    return say("{name} is not counted: nothing tells how much it gives.", name=word(name))


def far_off(count: int) -> Sentence:
    """Return how many beds are due later than compost is shared out for."""
    return say("Due later and not counted here: {count}.", count=Value(count, Measure.COUNT))


def second_layers(count: int) -> Sentence:
    """Return how many beds are due once more in the time that compost is shared out for."""
    return say(
        "Layers that follow on the same beds in that time: {count}. They are not counted here; "
        "the year's plan counts them.",
        count=Value(count, Measure.COUNT),
    )
