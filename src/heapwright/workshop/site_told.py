"""What is said of a place before its first bin.

Knows wording. Reckons nothing.
"""

from __future__ import annotations

from collections.abc import Iterator

from heapwright.garden.beds_types import Volume
from heapwright.garden.floor_plan import least_room_m
from heapwright.garden.site import hold_all
from heapwright.garden.site_types import Bins, ClimateYear, FloorPlan, Harvest, Heats, Site
from heapwright.sentences import Measure, Sentence, Value, inside, length, say, span, word
from heapwright.workshop.beds_words import range_of

_LACKS = {"green": say("green"), "brown": say("brown")}


def harvest_told(harvest: Harvest) -> Iterator[Sentence]:
    """Yield what a year's material comes to."""
    if harvest.heats is Heats.UNKNOWN:
        yield say(
            "Say how many you are, and how much lawn and leafy trees there are: then this tells "
            "what comes in a year and how many bins it fills."
        )
        return
    yield say(
        "A year's material makes {all} of heap, half of it green and half brown.",
        all=inside(range_of(harvest.all_m3)),
    )
    if harvest.lacking:
        yield say(
            "For that {fetch} of {lacking} is to be fetched; of your own alone it is {own}.",
            fetch=inside(range_of(harvest.fetch_m3)),
            lacking=inside(_LACKS[harvest.lacking]),
            own=inside(range_of(harvest.own_m3)),
        )


def bins_told(bins: Bins, harvest: Harvest) -> Iterator[Sentence]:
    """Yield how many bins of what size are wanted."""
    yield say(
        "{count} bins of {side} each way, one of them always empty to turn into; {range} if all "
        "goes quickly or slowly.",
        count=Value(bins.wanted, Measure.COUNT),
        side=length(bins.side_m),
        range=span(bins.wanted_low, bins.wanted_high, Measure.COUNT),
    )
    if harvest.heats is Heats.COLD:
        yield say("They will not get hot: this is cold compost.")
    else:
        yield say(
            "One is filled about {fills} times a year.",
            fills=Value(round(bins.fills, 1), Measure.COUNT),
        )
    if not hold_all(bins):
        yield say(
            "They do not hold all of it: that is more than one household's bins take. Build from "
            "a part, and give the rest away."
        )


def plan_told(site: Site, plan: FloorPlan | None, bins: Bins) -> Iterator[Sentence]:
    """Yield whether they fit."""
    room = least_room_m(bins.side_m, bins.wanted)
    least = {"width": length(room[0]), "depth": length(room[1])}
    if site.space_width_m is None or site.space_depth_m is None:
        yield say("They want {width} by {depth}, with room for a barrow before them.", **least)
    elif plan is None:
        yield say(
            "Not one bin that heats fits with room for a barrow before it: {width} by {depth} is "
            "wanted.",
            **dict(zip(("width", "depth"), map(length, least_room_m(bins.side_m, 1)), strict=True)),
        )
    elif len(plan.bins) < plan.wanted:
        yield say(
            "Only {fit} of {wanted} fit with room for a barrow: {width} by {depth} is wanted for "
            "all. With fewer, less is made or each heap has less time.",
            fit=Value(len(plan.bins), Measure.COUNT),
            wanted=Value(plan.wanted, Measure.COUNT),
            **least,
        )
    else:
        yield say("They fit, with room before them to turn a barrow.")
    if plan is not None and plan.side_m < bins.side_m - 1e-6:
        yield say("To fit they are only {side} each way.", side=length(plan.side_m))


def yield_told(compost_m3: Volume, beds_m3: Volume | None, water_kg: Volume) -> Iterator[Sentence]:
    """Yield what a year gives and takes."""
    yield say("Compost in a year: {compost}.", compost=inside(range_of(compost_m3)))
    if beds_m3 is not None:
        yield say(
            "Your beds ask for {beds} a year, at the published depth.",
            beds=inside(range_of(beds_m3)),
        )
    yield say(
        "Water to give in a year: {ends}, likely {likely}.",
        ends=span(water_kg.low, water_kg.high, Measure.WATER),
        likely=Value(water_kg.likely, Measure.WATER),
    )


def notes_told(climate: ClimateYear, harvest: Harvest) -> Iterator[Sentence]:
    """Yield what it all rests on."""
    yield say("Climate: {title}. Change it on the Garden page.", title=word(climate.title))
    if harvest.heats is not Heats.UNKNOWN:
        yield say(
            "How much comes in is a starting value: count it for some weeks and put it right. "
            "Water is reckoned from the same and from memory; the year's plan does it week by week."
        )
