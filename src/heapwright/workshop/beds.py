"""Answers what the beds want, what they get of the own compost and what is to be bought in.

Knows how journal, expected compost and the rule of sharing come together. Entering and dropping a
bed and spreading stand in `beds_log.py`. Knows no depth and no caution (`heapwright.garden`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from heapwright.garden.beds import anniversary, laid_m3, next_due, wanted_layer
from heapwright.garden.beds_types import NOTHING, Bed, Spread, Volume, total
from heapwright.garden.cautions import cautions_of, harvest_from, how_told, spreading_cautions
from heapwright.garden.nitrogen import first_year_nitrogen
from heapwright.garden.share import RULE, Supply, Want, shared_out
from heapwright.garden.tables import depths
from heapwright.journal.entries_year import BedState, SpreadState
from heapwright.sentences import Sentence
from heapwright.workshop import beds_words
from heapwright.workshop.beds_answer import (
    BedLine,
    Beds,
    ExpectedCompost,
    SpreadLine,
    WantedRound,
)
from heapwright.workshop.beds_expected import expected_of_heaps
from heapwright.workshop.beds_planned import expected_of_plan
from heapwright.workshop.garden import Garden

#: How far ahead compost is shared out when no plan says what will be built: heaps built later are
#: not known yet. [d]
DAYS_AHEAD = 183


def beds(
    garden: Garden,
    expected: Sequence[ExpectedCompost] | None = None,
    *,
    until: date | None = None,
) -> Beds:
    """Return what the beds want, what they get and what is to be bought in.

    Parameters
    ----------
    garden : Garden
    expected : sequence of ExpectedCompost, optional
        What is to come; if not given, what the year's plan expects where one was made, else what
        the heaps that stand in bins will give.
    until : date, optional
        Beds due later are not served; the plan's end, or half a year ahead, if not given.

    """
    today = today_in(garden)
    notes: tuple[Sentence, ...] = ()
    last = today + timedelta(days=DAYS_AHEAD)
    if not garden.state().year.beds_in_use:
        expected = ()
    elif expected is None:
        planned = expected_of_plan(garden, today)
        if planned is not None:
            expected, notes, last = planned
        else:
            expected, notes = expected_of_heaps(garden, today)
    last = last if until is None else until
    rounds = {one.key: one for one in _next_rounds(garden, today)}
    near = [one for one in rounds.values() if one.due <= last]
    own = _own(near, expected, garden.state().year.store_m3, today)
    lines = tuple(
        _line(garden, bed, rounds[bed.key], own.get(bed.key), today)
        for bed in sorted(beds_of(garden), key=lambda one: (rounds[one.key].due, one.key))
    )
    still = {one.key: one.still_m3.likely for one in near}
    return _together(
        garden,
        today,
        last,
        lines,
        own_m3=total(own.values()).in_order(),
        buy_m3=total(own[key].missing_to(usual) for key, usual in still.items()).in_order(),
        expected=tuple(expected),
        notes=notes,
    )


def wanted_rounds(garden: Garden, until: date) -> tuple[WantedRound, ...]:
    """Return every round to be served from now until a day, those overdue among them.

    What was laid already is taken off; a bed that comes every year may stand here twice.
    """
    today = today_in(garden)
    found = []
    for one in _next_rounds(garden, today):
        bed = bed_of_state(garden.state().year.beds[one.key])
        found.append(one)
        following = one.due
        while bed.every_year:
            following = anniversary(bed.due, following.year - bed.due.year + 1)
            if following > until:
                break
            whole = wanted_layer(bed).volume_m3
            found.append(WantedRound(bed.key, bed.name, following, whole, bed.weight))
    return tuple(sorted((x for x in found if x.due <= until), key=lambda x: (x.due, x.key)))


def today_in(garden: Garden) -> date:
    """Return the day it is in the garden."""
    return garden.now().astimezone(ZoneInfo(garden.state().settings.time_zone)).date()


def bed_of_state(state: BedState) -> Bed:
    """Return a bed of the journal as the pure part knows it."""
    return Bed(
        key=state.key,
        name=state.name,
        use=state.use,
        due=state.due,
        area_m2=state.area_m2,
        mix_m3=state.volume_m3,
        every_year=state.every_year,
        depth_m=state.depth_m,
        weight=state.weight,
        phosphorus=state.phosphorus,
        salt_sensitive=state.salt_sensitive,
        raw_harvest=state.raw_harvest,
    )


def beds_of(garden: Garden) -> list[Bed]:
    """Return the beds in use, by their first date."""
    return [bed_of_state(one) for one in garden.state().year.beds_in_use.values()]


def _spread_states(garden: Garden, key: str) -> list[SpreadState]:
    return [one for one in garden.state().year.spreads if one.bed_key == key]


def _spreads(garden: Garden, key: str) -> tuple[Spread, ...]:
    zone = ZoneInfo(garden.state().settings.time_zone)
    return tuple(
        Spread(one.at.astimezone(zone).date(), one.volume_m3, one.what)
        for one in _spread_states(garden, key)
    )


def _next_rounds(garden: Garden, today: date) -> list[WantedRound]:
    found = []
    for bed in beds_of(garden):
        due, laid = next_due(bed, today, _spreads(garden, bed.key))
        still = wanted_layer(bed).volume_m3.less(laid_m3(laid))
        found.append(WantedRound(bed.key, bed.name, due, still, bed.weight))
    return found


def _own(
    near: Sequence[WantedRound],
    expected: Sequence[ExpectedCompost],
    store_m3: float,
    today: date,
) -> dict[str, Volume]:
    """Return what each bed gets of the own compost when little, likely and much of it comes.

    Not always rising: where compost comes too late for the first bed, the next has more of it.
    """
    wants = [
        Want(x.key, max(x.due, today), x.still_m3.low, x.still_m3.likely, x.weight) for x in near
    ]
    stored = Supply(today, store_m3)
    little, likely, much = (
        shared_out(wants, [stored, *supplies])
        for supplies in (
            [Supply(one.on_late, one.volume_m3.low) for one in expected],
            [Supply(one.on, one.volume_m3.likely) for one in expected],
            [Supply(one.on, one.volume_m3.high) for one in expected],
        )
    )
    return {one.key: Volume(little[one.key], likely[one.key], much[one.key]) for one in near}


def _line(
    garden: Garden, bed: Bed, wanted: WantedRound, own: Volume | None, today: date
) -> BedLine:
    spreads = _spreads(garden, bed.key)
    _, laid = next_due(bed, today, spreads)
    layer = wanted_layer(bed)
    own_m3 = NOTHING if own is None else own.in_order()
    buy = NOTHING if own is None else own.missing_to(wanted.still_m3.likely).in_order()
    days_left = (wanted.due - today).days
    nitrogen = first_year_nitrogen(layer.volume_m3)
    told = beds_words.line_told(
        laid_m3=laid_m3(laid),
        unmeasured=sum(one.volume_m3 is None for one in laid),
        still_m3=wanted.still_m3,
        own_m3=own_m3,
        buy_m3=buy,
        is_looked_ahead=own is not None,
    )
    return BedLine(
        bed=bed,
        due=wanted.due,
        days_left=days_left,
        layer=layer,
        laid_m3=laid_m3(laid),
        still_m3=wanted.still_m3,
        is_looked_ahead=own is not None,
        own_m3=own_m3,
        buy_m3=buy,
        nitrogen=nitrogen,
        harvest_from=harvest_from(bed, spreads),
        how=how_told(bed),
        told=(
            beds_words.due_told(wanted.due, days_left),
            *told,
            beds_words.nitrogen_told(nitrogen, bed),
        ),
        cautions=cautions_of(bed, today, spreads),
        spreads=_spread_lines(garden, bed.key),
    )


def _spread_lines(garden: Garden, key: str) -> tuple[SpreadLine, ...]:
    batches = garden.state().batches
    found = [
        SpreadLine(
            one.entry_id,
            one.at,
            one.volume_m3,
            one.what,
            batches[one.batch_key].name if one.batch_key and one.batch_key in batches else "",
        )
        for one in _spread_states(garden, key)
    ]
    return tuple(sorted(found, key=lambda one: one.at, reverse=True))


def _together(
    garden: Garden,
    today: date,
    until: date,
    lines: tuple[BedLine, ...],
    *,
    own_m3: Volume,
    buy_m3: Volume,
    expected: tuple[ExpectedCompost, ...],
    notes: tuple[Sentence, ...],
) -> Beds:
    near = [one for one in lines if one.is_looked_ahead]
    wanted = total(one.still_m3 for one in near)
    store = garden.state().year.store_m3
    sacks = tuple(_sacks(x) for x in (buy_m3.low, buy_m3.likely, buy_m3.high))
    told = tuple(beds_words.summary(wanted, own_m3, buy_m3, sacks, store, until)) if near else ()
    later = len(lines) - len(near)
    again = len(wanted_rounds(garden, until)) - len(near)
    if again:
        told = (*told, beds_words.second_layers(again))
    return Beds(
        today=today,
        until=until,
        lines=lines,
        expected=expected,
        store_m3=store,
        wanted_m3=wanted,
        own_m3=own_m3,
        buy_m3=buy_m3,
        sacks=(sacks[0], sacks[1], sacks[2]),
        told=(*told, beds_words.far_off(later)) if later else told,
        rule=RULE,
        cautions=spreading_cautions(),
        notes=notes,
    )


def _sacks(volume_m3: float) -> int:
    """Return the whole sacks for a volume; a spoonful over is none."""
    return math.ceil(volume_m3 / depths()["sack_m3"].typical - 0.01)
