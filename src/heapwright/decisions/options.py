"""What can be done with a heap now, how much of it, and what cannot or must not be done.

Knows the conditions of each option. Knows nothing of what comes of it, nor which is best.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np

from heapwright.decisions.amounts import brown_to_moisture, green_to_c_to_n, water_needed_kg
from heapwright.decisions.contents import Contents, contents
from heapwright.decisions.tables import limits
from heapwright.decisions.types import (
    Addition,
    Doing,
    Forbidden,
    Option,
    Range,
    Situation,
    range_of,
)
from heapwright.heap.types import BinShape, Cover, Wall
from heapwright.sentences import (
    Measure,
    Sentence,
    Value,
    say,
    share,
    temperature,
    word,
)

_HOURS_A_DAY = 24
#: Smells against which dry brown is mixed in.
_BROWN_SMELLS = ("ammonia", "rotten egg", "sour")


def options_for(situation: Situation) -> tuple[tuple[Option, ...], tuple[Forbidden, ...]]:
    """Return what can be done today, and what cannot with the reason.

    Leaving it alone is always the first. A heap that may burn leaves nothing else.
    """
    heap = _Heap(situation)
    possible = [_option(situation, Doing.LEAVE)]
    forbidden: list[Forbidden] = []
    for doing, offer in _OFFERS.items():
        found = _burning() if situation.may_burn else offer(heap)
        if isinstance(found, Sentence):
            forbidden.append(Forbidden(doing, found))
        else:
            possible.append(found)
    return tuple(possible), tuple(forbidden)


def later(option: Option, in_days: int) -> Option:
    """Return the same option some days later."""
    return replace(option, in_days=in_days)


class _Heap:
    """A situation with the numbers that several offers ask for."""

    def __init__(self, situation: Situation) -> None:
        self.situation = situation
        self.limits = limits()
        self.inside: Contents = contents(situation.standing)
        self.whole = self.inside.likely()
        self.volume_m3 = float(np.median(self.inside.volume_m3))

    @property
    def water_kg(self) -> Range:
        """Water that brings it to the wished moisture."""
        return range_of(water_needed_kg(self.inside, self.limits["target_moisture"]))

    @property
    def wants_brown(self) -> bool:
        """Whether nose or hand ask for brown, whatever the model says of its moisture."""
        situation = self.situation
        return situation.smell in _BROWN_SMELLS or situation.squeeze == "dripping"

    def room_m3(self) -> float:
        """Return what may still be mixed in, by the bin's room and by what is sensible at once."""
        bin_m3 = self.situation.shape.volume_m3 * self.limits["most_over_bin"]
        by_share = self.limits["most_addition_share"] * self.volume_m3
        return max(0.0, min(bin_m3 - self.volume_m3, by_share))

    def air_c(self) -> float:
        """Return the mean air temperature up to the horizon."""
        now = self.situation.standing.hour
        ahead = round(self.limits["horizon_days"]) * _HOURS_A_DAY
        return float(np.mean(self.situation.weather.temperature_c[now : now + ahead]))

    @property
    def left(self) -> float:
        """Degradable matter left, likely."""
        return float(np.median(self.inside.left))


def _burning() -> Sentence:
    return say("It may be burning inside: nobody digs into it or opens it.")


def _cap(heap: _Heap) -> Option | Sentence:
    if heap.situation.shape.cover is not Cover.OPEN:
        return say("It is covered already.")
    return _option(heap.situation, Doing.CAP, cover=Cover.BROWN_CAP)


def _wet(heap: _Heap) -> Option | Sentence:
    return _no_water(heap) or _option(heap.situation, Doing.WET, water_kg=heap.water_kg)


def _no_water(heap: _Heap) -> Sentence | None:
    if heap.situation.squeeze in ("dripping", "drops"):
        return say("A squeezed handful gave drops: it is wet enough.")
    if heap.water_kg.likely < heap.limits["worth_wetting_kg"]:
        return say(
            "It is damp enough: about {moisture} water by the model; {target} is wished for.",
            moisture=share(heap.whole.moisture),
            target=share(heap.limits["target_moisture"]),
        )
    return None


def _stir(heap: _Heap) -> Option | Sentence:
    return _curing(heap) or _turn(heap, Doing.STIR)


def _stir_and_wet(heap: _Heap) -> Option | Sentence:
    return _curing(heap) or _no_water(heap) or _turn(heap, Doing.STIR_AND_WET, heap.water_kg)


def _move(heap: _Heap) -> Option | Sentence:
    return _curing(heap) or _no_next(heap) or _turn(heap, Doing.MOVE)


def _move_and_wet(heap: _Heap) -> Option | Sentence:
    return (
        _curing(heap)
        or _no_next(heap)
        or _no_water(heap)
        or _turn(heap, Doing.MOVE_AND_WET, heap.water_kg)
    )


def _with_brown(doing: Doing) -> Callable[[_Heap], Option | Sentence]:
    def offer(heap: _Heap) -> Option | Sentence:
        refused = _curing(heap) or (_no_next(heap) if doing.is_move else None)
        if refused:
            return refused
        limit = heap.limits["wet_moisture"]
        if heap.whole.moisture <= limit and not heap.wants_brown:
            return say(
                "It is not too wet: about {moisture} water by the model.",
                moisture=share(heap.whole.moisture),
            )
        # Where nose or hand ask for brown at the right moisture: as if it were a little too wet.
        target = min(limit, heap.whole.moisture - heap.limits["drier_by"])
        found = brown_to_moisture(heap.whole, heap.situation.stock, target, heap.room_m3())
        if found is None:
            return say("No dry brown is on hand, or there is no room for it.")
        return _turn(heap, doing, addition=found)

    return offer


def _with_green(doing: Doing) -> Callable[[_Heap], Option | Sentence]:
    def offer(heap: _Heap) -> Option | Sentence:
        refused = _curing(heap) or (_no_next(heap) if doing.is_move else None)
        if refused:
            return refused
        if heap.situation.smell == "ammonia":
            return say("It smells of ammonia: it has more nitrogen than it can hold.")
        lean = float(np.median(heap.inside.c_to_n))
        if lean <= heap.limits["lean_c_to_n"]:
            return say(
                "It is not short of green: C:N about {ratio} by the model.",
                ratio=Value(lean, Measure.RATIO),
            )
        found = green_to_c_to_n(
            heap.whole, heap.situation.stock, heap.limits["target_c_to_n"], heap.room_m3()
        )
        if found is None:
            return say("No green is on hand, or there is no room for it.")
        return _turn(heap, doing, addition=found)

    return offer


def _insulate(heap: _Heap) -> Option | Sentence:
    shape = heap.situation.shape
    if shape.wall is Wall.BALES:
        return say("Bales stand round it already.")
    if heap.air_c() > heap.limits["cold_air_c"]:
        return say("The next days are not cold: {air} on average.", air=temperature(heap.air_c()))
    return _option(heap.situation, Doing.INSULATE, new_shape=replace(shape, wall=Wall.BALES))


def _spread(heap: _Heap) -> Option | Sentence:
    if heap.left > heap.limits["spread_share"]:
        return say(
            "It still has food for heat: about {left} of what was built in.", left=share(heap.left)
        )
    side = float(np.sqrt(heap.volume_m3 / heap.limits["spread_height_m"]))
    flat = BinShape(
        width_m=side,
        depth_m=side,
        height_m=heap.limits["spread_height_m"] * heap.limits["most_over_bin"],
        wall=Wall.NONE,
        cover=Cover.BROWN_CAP,
        shade=heap.situation.shape.shade,
        ground=heap.situation.shape.ground,
    )
    return _option(heap.situation, Doing.SPREAD, new_shape=flat, cover=Cover.BROWN_CAP)


def _use(heap: _Heap) -> Option | Sentence:
    if not heap.situation.is_curing:
        return say("It has not cured yet.")
    if not heap.situation.is_ready:
        return say("Its tests have not said yet that it is ready.")
    return _option(heap.situation, Doing.USE)


def _curing(heap: _Heap) -> Sentence | None:
    return say("It is left to cure.") if heap.situation.is_curing else None


def _no_next(heap: _Heap) -> Sentence | None:
    if not heap.situation.next_bin:
        return say("There is no next bin in the row.")
    if heap.situation.next_shape is None:
        return say("{bin} is full.", bin=word(heap.situation.next_bin))
    # What the next bin cannot hold must not be forked into it.
    if heap.volume_m3 > heap.situation.next_shape.volume_m3 * heap.limits["most_over_bin"]:
        return say("{bin} is too small for it.", bin=word(heap.situation.next_bin))
    return None


def _turn(
    heap: _Heap, doing: Doing, water_kg: Range | None = None, addition: Addition | None = None
) -> Option:
    situation = heap.situation
    # After a turn a brown cap is laid anew; a lid or tarp goes back on.
    cover = Cover.BROWN_CAP if situation.shape.cover is Cover.OPEN else situation.shape.cover
    found = _option(situation, doing, water_kg=water_kg, addition=addition, cover=cover)
    if not doing.is_move or situation.next_shape is None:
        return found
    shape = replace(situation.next_shape, cover=cover)
    return replace(found, to_bin=situation.next_bin, new_shape=shape)


def _option(
    situation: Situation,
    doing: Doing,
    *,
    water_kg: Range | None = None,
    addition: Addition | None = None,
    new_shape: BinShape | None = None,
    cover: Cover | None = None,
) -> Option:
    return Option(
        doing=doing,
        in_days=0,
        water_kg=0.0 if water_kg is None else water_kg.likely,
        water_range_kg=water_kg,
        addition=addition,
        to_bin="",
        new_shape=new_shape,
        cover=cover or situation.shape.cover,
    )


_OFFERS: Mapping[Doing, Callable[[_Heap], Option | Sentence]] = {
    Doing.CAP: _cap,
    Doing.WET: _wet,
    Doing.USE: _use,
    Doing.INSULATE: _insulate,
    Doing.STIR: _stir,
    Doing.STIR_AND_WET: _stir_and_wet,
    Doing.STIR_WITH_BROWN: _with_brown(Doing.STIR_WITH_BROWN),
    Doing.STIR_WITH_GREEN: _with_green(Doing.STIR_WITH_GREEN),
    Doing.MOVE: _move,
    Doing.MOVE_AND_WET: _move_and_wet,
    Doing.MOVE_WITH_BROWN: _with_brown(Doing.MOVE_WITH_BROWN),
    Doing.MOVE_WITH_GREEN: _with_green(Doing.MOVE_WITH_GREEN),
    Doing.SPREAD: _spread,
}
