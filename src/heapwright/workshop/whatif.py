"""Answers what else could be done with a heap, and joins it with the rules of the trade.

Knows how a garden's bin, stock and fitted heap become a situation, and which answer goes first: a
rule that sees danger, smell or pests stands; one that only guesses gives way to the comparison.
Knows no physics and no wording.
"""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from heapwright.advice.rules import Judgement, judged
from heapwright.advice.signs import limits, read_signs
from heapwright.advice.types import Advice, HeapView, Job
from heapwright.errors import HeapwrightError, NotFound
from heapwright.heap.types import Cover
from heapwright.journal.entries import BatchState, BinState
from heapwright.materials.hazards import check_allowed
from heapwright.materials.types import Role
from heapwright.mixing.lots import container_part
from heapwright.wording import worded
from heapwright.workshop.garden import Garden
from heapwright.workshop.history import bin_shape
from heapwright.workshop.lots import material_of, mixing_lot
from heapwright.workshop.model import HeapModel, model_key
from heapwright.workshop.weather import garden_weather
from heapwright.workshop.whatif_answer import WhatIf
from heapwright.workshop.whatif_jobs import amounts_of_addition, lines_of_addition, named_days
from heapwright.workshop.whatif_words import advice_of, what_if_of

if TYPE_CHECKING:
    from heapwright.decisions.types import Decision, Option, Situation, StockPart

DAY = timedelta(days=1)


def todays_advice(
    garden: Garden, batch: BatchState, model: HeapModel | None, view: HeapView
) -> Advice:
    """Return the day's job: the rules', or the comparison's where the rules only guess."""
    said = judged(view)
    if model is None:
        return said.advice
    if not said.is_open:
        return _with_what_is_on_hand(garden, batch, model, view, said)
    decision = decision_of(garden, batch, model, view)
    if _wants_brown_that_lacks(view, decision):
        return said.advice
    return advice_of(decision, read_signs(view), said.advice, named_days(garden))


def what_if(garden: Garden, batch: BatchState, model: HeapModel, view: HeapView) -> WhatIf:
    """Return everything that could be done with a heap, best first."""
    said = judged(view)
    decision = decision_of(garden, batch, model, view)
    stands = not said.is_open or _wants_brown_that_lacks(view, decision)
    return what_if_of(decision, read_signs(view), said.advice, named_days(garden), stands=stands)


def what_if_in(garden: Garden, bin_key: str) -> WhatIf:
    """Return everything that could be done with what lies in a bin.

    Raises
    ------
    NotFound
        If the bin is unknown or empty, or its heap cannot be modelled.

    """
    from heapwright.workshop.model import heap_model
    from heapwright.workshop.today import heap_view

    batch = garden.batch_in(bin_key)
    if batch is None:
        raise NotFound(
            worded("{name} is empty", name=garden.bin(bin_key).name),
            why="there is no heap to do anything with",
            instead="Build one first",
        )
    model = heap_model(garden, batch)
    if model is None:
        raise NotFound(
            worded(
                "{name} was built {built_at:%Y-%m-%d}", name=batch.name, built_at=batch.built_at
            ),
            why="a heap that old is not followed hour by hour any more",
        )
    return what_if(garden, batch, model, heap_view(garden, batch, model))


def decision_of(garden: Garden, batch: BatchState, model: HeapModel, view: HeapView) -> Decision:
    """Return the comparison of all options of a heap; remembered until the journal changes."""
    from heapwright.decisions.choose import decide

    key = ("what-if", *model_key(garden, batch, None), garden.mark())
    return garden.remembered(key, lambda: decide(situation_of(garden, batch, model, view)))


def situation_of(garden: Garden, batch: BatchState, model: HeapModel, view: HeapView) -> Situation:
    """Return a heap as the comparison takes it."""
    from heapwright.decisions.tables import limits as decision_limits
    from heapwright.decisions.types import Situation

    here = garden.bin(str(batch.bin_key))
    following = next_bin(garden, here)
    start = model.history.start
    horizon = decision_limits()["horizon_days"] * DAY
    end = start + timedelta(hours=model.standing.hour) + horizon
    reading = view.readings[-1] if view.readings else None
    return Situation(
        standing=model.standing,
        weather=garden_weather(garden, start, end),
        shape=bin_shape(here, _cover(model)),
        next_bin="" if following is None else following.name,
        next_shape=bin_shape(following) if following and following.batch_key is None else None,
        stock=stock_parts(garden),
        may_burn=reading is not None and reading.temperature_c >= limits()["stand_back_c"],
        squeeze=view.squeeze,
        smell=view.smell,
        is_curing=view.curing_days is not None,
        is_ready=view.finish == "ready",
        probe_depth_m=model.probe_depth_m,
    )


def next_bin(garden: Garden, here: BinState) -> BinState | None:
    """Return the bin that follows in the row, free or not."""
    row = sorted(garden.state().bins_in_use.values(), key=lambda one: (one.order, one.key))
    place = next((i for i, one in enumerate(row) if one.key == here.key), None)
    return None if place is None or place + 1 >= len(row) else row[place + 1]


def stock_parts(garden: Garden) -> tuple[StockPart, ...]:
    """Return what may be mixed in from stock: browns and greens that nothing speaks against."""
    from heapwright.decisions.types import StockPart

    found = []
    for state in garden.state().lots.values():
        material = material_of(state)
        usable = int(state.left) - state.keep_back
        if usable < 1 or material.role not in (Role.BROWN, Role.GREEN) or material.is_food:
            continue
        try:
            check_allowed(material)
            one = container_part(mixing_lot(state, garden.now()))
        except HeapwrightError:  # what is refused, or asked about first, is not offered here
            continue
        is_brown = material.role is Role.BROWN
        found.append(
            StockPart(state.key, material.name, state.container_name, one, usable, is_brown)
        )
    return tuple(found)


def _cover(model: HeapModel) -> Cover:
    return model.history.cover


def _wants_brown_that_lacks(view: HeapView, decision: Decision) -> bool:
    """Whether a handful drips and there is no brown on hand: then it is to be fetched."""
    with_brown = any(one.option.addition is not None for one in decision.weighed)
    return view.squeeze == "dripping" and not with_brown


def _with_what_is_on_hand(
    garden: Garden, batch: BatchState, model: HeapModel, view: HeapView, said: Judgement
) -> Advice:
    """Return a rule's advice to mix in brown with the containers that are on hand for it."""
    from dataclasses import replace

    if said.advice.job is not Job.MIX_IN_BROWN:
        return said.advice
    option = _brown_option(situation_of(garden, batch, model, view))
    if option is None or option.addition is None:
        return said.advice
    return replace(
        said.advice,
        amounts=amounts_of_addition(option.addition),
        lines=lines_of_addition(option.addition),
    )


def _brown_option(situation: Situation) -> Option | None:
    from heapwright.decisions.options import options_for
    from heapwright.decisions.types import Doing

    possible, _ = options_for(situation)
    return next((one for one in possible if one.doing is Doing.STIR_WITH_BROWN), None)
