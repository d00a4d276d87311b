"""The words of the year's stock: what runs out, what is lacking for a heap, what to save.

Knows what is worth saying of the numbers. Reckons none of them.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from heapwright.quantities.containers import plural_of
from heapwright.season.needs import GREENS
from heapwright.season.saving import BuildNeed, Saving
from heapwright.sentences import Measure, Sentence, Value, say, span, volume, water, word
from heapwright.tables import Estimate
from heapwright.wording import counted, dated
from heapwright.workshop.stock_ahead_answer import ClassAhead, SavingAhead
from heapwright.workshop.stock_supplies import Stuff

#: Less water than this is not worth naming for a heap. [kg]
_LEAST_WATER_KG = 8.0
_LEAST_M3 = 0.005


def by_plan(made: date) -> Sentence:
    """Return that the heaps are those of the year's plan."""
    return say(
        "Counted are the heaps of the year's plan of {day}.", day=word(dated(made, "d MMMM y"))
    )


def like_last_year() -> Sentence:
    """Return that the heaps are those of last year."""
    return say(
        "The year is not planned, or not lately: counted are as many heaps as were built in the "
        "last 52 weeks, each a year later."
    )


def nothing_planned() -> Sentence:
    """Return that no heap is counted."""
    return say(
        "The year is not planned, or not lately, and no heap was built in the last 52 weeks: "
        "nothing is counted as used."
    )


def given() -> Sentence:
    """Return that the heaps were named by who asks."""
    return say("Counted are the heaps that were asked for.")


def notes(found: Stuff) -> tuple[Sentence, ...]:
    """Return what the numbers rest on."""
    told = [
        say(
            "Volumes are as the stuff is stored. A heap takes what brings it to a C:N of 30 "
            "(ideal 25 to 35, Cooperband 2002); the ranges are those of the materials table and "
            "of what was written down."
        )
    ]
    if not any(not one.is_lot for one in found.flows):
        told.append(say("Nothing that arrives in its season is written down yet."))
    return tuple(told)


def with_words(answer: ClassAhead, one: BuildNeed, is_planned: bool, is_there: bool) -> ClassAhead:
    """Return a class with what is to be said of it."""
    return replace(answer, told=tuple(_class_told(answer, one, is_planned, is_there)))


def _class_told(
    answer: ClassAhead, one: BuildNeed, is_planned: bool, is_there: bool
) -> list[Sentence]:
    if not is_there:
        if answer.key == GREENS:
            return [say("No green is on hand and none is expected.")]
        return [say("No brown is on hand and none is expected.")]
    told = []
    if answer.runs_out is not None:
        told.append(_runs_out(answer.key, answer.runs_out))
    elif answer.runs_out_soonest is not None:
        told.append(_may_run_out(answer.key, answer.runs_out_soonest))
    elif is_planned:
        told.append(_enough(answer.key))
    told += _at_once(answer, one)
    if answer.spoiled_m3[1] >= _LEAST_M3:
        told.append(
            say(
                "{spoilt} spoils unused in the year, of {came} that comes.",
                spoilt=span(answer.spoiled_m3[0], answer.spoiled_m3[2], Measure.VOLUME),
                came=span(answer.came_m3[0], answer.came_m3[2], Measure.VOLUME),
            )
        )
    return told


def _runs_out(kind: str, day: date) -> Sentence:
    when = word(dated(day, "d MMMM y"))
    if kind == GREENS:
        return say("Too little green for a heap by the week of {day}.", day=when)
    return say("Too little brown for a heap by the week of {day}.", day=when)


def _may_run_out(kind: str, day: date) -> Sentence:
    when = word(dated(day, "d MMMM y"))
    if kind == GREENS:
        return say(
            "Likely enough green; if little comes, too little from the week of {day}.", day=when
        )
    return say("Likely enough brown; if little comes, too little from the week of {day}.", day=when)


def _enough(kind: str) -> Sentence:
    if kind == GREENS:
        return say("Enough green for every heap, even if little comes.")
    return say("Enough brown for every heap, even if little comes.")


def _at_once(answer: ClassAhead, one: BuildNeed) -> list[Sentence]:
    if answer.key != GREENS or answer.most_m3 >= one.greens_m3.typical:
        return []
    values = {
        # In the unit of what it is held against: 3 of 11 ft³, and not 22 gal of 11 ft³.
        "most": volume(answer.most_m3, like=one.greens_m3.typical),
        "heap": volume(one.build.volume_m3),
        "need": volume(one.greens_m3.typical),
    }
    if answer.gather_weeks == 0:
        short = say(
            "At most {most} of green is there in one week; a heap of {heap} takes about {need}.",
            **values,
        )
    else:
        short = say(
            "At most {most} of green comes while a heap is filled ({weeks} more weeks); one of "
            "{heap} takes about {need}.",
            weeks=Value(answer.gather_weeks, Measure.COUNT),
            **values,
        )
    return [
        short,
        say(
            "Gather from more places, fill for longer, or keep it longer: clippings dried to hay, "
            "scraps frozen or in a shut pail against rats and flies."
        ),
    ]


def build_told(day: date, need: BuildNeed) -> Sentence:
    """Return what a heap takes, in words."""
    values = {
        "day": word(dated(day, "d MMMM y")),
        "heap": volume(need.build.volume_m3),
        "greens": _span(need.greens_m3),
        "browns": _span(need.browns_m3),
    }
    if need.water_kg.typical < _LEAST_WATER_KG:
        return say(
            "Week of {day}, a heap of {heap}: {greens} of green and {browns} of brown.", **values
        )
    return say(
        "Week of {day}, a heap of {heap}: {greens} of green, {browns} of brown and about {water} "
        "of water.",
        water=water(need.water_kg.typical),
        **values,
    )


def _span(estimate: Estimate) -> Value:
    return span(estimate.low, estimate.high, Measure.VOLUME)


def saving_told(answer: SavingAhead, saving: Saving, room_m3: float | None) -> SavingAhead:
    """Return what to save with its words; `room_m3` is there for leaves, None for enough."""
    told = [
        *_before(answer),
        *_save(answer, saving),
        *_falls(answer),
        *_room(answer, room_m3),
        *_shredding(answer),
    ]
    return replace(answer, told=tuple(told))


def _before(answer: SavingAhead) -> list[Sentence]:
    if answer.short_before_m3[1] < _LEAST_M3:
        return []
    return [
        say(
            "Before the leaves fall {lacking} of brown is lacking: cardboard, straw or a "
            "neighbour's leaves bridge that.",
            lacking=span(answer.short_before_m3[0], answer.short_before_m3[2], Measure.VOLUME),
        )
    ]


def _save(answer: SavingAhead, saving: Saving) -> list[Sentence]:
    day = word(dated(answer.from_day, "d MMMM y"))
    if answer.bags[2] == 0:
        return [
            say(
                "Nothing needs to be saved when the leaves fall from {day} on: stock and other "
                "browns last.",
                day=day,
            )
        ]
    fewest, likely, most = answer.bags
    return [
        say(
            "From {day} on save {bags}: {fewest} to {most}, likely {likely}. That is {volume} as "
            "they fall, and carries {heaps} until leaves fall again.",
            day=day,
            fewest=Value(fewest, Measure.COUNT),
            most=Value(most, Measure.COUNT),
            likely=Value(likely, Measure.COUNT),
            bags=word(plural_of(answer.container_name)),
            volume=span(answer.save_m3[0], answer.save_m3[2], Measure.VOLUME),
            heaps=word(counted("{n} heap", "{n} heaps", saving.builds)),
        )
    ]


def _falls(answer: SavingAhead) -> list[Sentence]:
    if answer.falls_m3 is None:
        return [say("How many leaves fall is not written down: enter them as an arrival.")]
    falls = span(answer.falls_m3[0], answer.falls_m3[2], Measure.VOLUME)
    if answer.falls_m3[1] < answer.save_m3[1]:
        return [say("By what is written down {falls} falls: likely too little.", falls=falls)]
    if answer.falls_m3[0] < answer.save_m3[2]:
        return [say("By what is written down {falls} falls: likely enough.", falls=falls)]
    return [say("By what is written down {falls} falls: enough.", falls=falls)]


def _room(answer: SavingAhead, room_m3: float | None) -> list[Sentence]:
    if room_m3 is None or room_m3 >= answer.save_m3[2]:
        return []
    if room_m3 >= answer.save_m3[1]:
        return [say("Your room for leaves, {room}, is likely enough.", room=volume(room_m3))]
    return [say("Your room for leaves, {room}, is likely too small.", room=volume(room_m3))]


def _shredding(answer: SavingAhead) -> list[Sentence]:
    fewest, likely, most = answer.shredded_bags
    if most == 0 or answer.bags[1] < 2:
        return []
    return [
        say(
            "Mown over first they take less room, in {bags}: {fewest} to {most}, likely {likely} "
            "(100 to 17 on a gardening page, weak). Wear a mask where dry leaves make dust.",
            fewest=Value(fewest, Measure.COUNT),
            most=Value(most, Measure.COUNT),
            likely=Value(likely, Measure.COUNT),
            bags=word(plural_of(answer.container_name)),
        )
    ]
