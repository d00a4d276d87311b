"""The gardeners of the trade's rules: by the 100 °F line once a week, every week, and not at all.

Knows what each does at a visit. All who turn also wet to a wrung-out sponge by hand, and move the
heap if the next bin is free. They mix in no brown when a handful drips, although the trade's rule
says so: on training seeds that made them slower, and Today is held against the better gardener.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import cache

from benchmarks.decisions.truth import Truth
from benchmarks.decisions.worlds import DAYS, World
from heapwright.decisions.amounts import addition_of, fill_of
from heapwright.decisions.contents import contents
from heapwright.decisions.types import Addition, StockPart
from heapwright.heap.types import ActionKind, Cover, Fill, HeapAction
from heapwright.materials.table import load_materials
from heapwright.materials.types import Packing
from heapwright.mixing.lots import container_part
from heapwright.mixing.types import Lot
from heapwright.tables import Estimate

WEEK = 7
#: The trade's line under which a heap wants air and water: 100 °F.
LINE_C = 37.8
SPONGE = 0.55
#: Share of the volume of dry leaves that the rule mixes in.
BROWN_SHARE = 0.10
#: Dry leaves on hand for one heap: so many pails of so much.
PAILS, PAIL_M3 = 12, 0.0189
CHECK_DAYS = 2
#: A visit: what is to be done now, as the keeper means it.
Visit = Callable[[int], Sequence[HeapAction]]


@dataclass(slots=True)
class Result:
    """What became of one heap under one keeper."""

    keeper: str
    seed: int
    days: float = DAYS
    finished: bool = False
    hot_share: float = 0.0
    turns: int = 0
    water_kg: float = 0.0
    pails: int = 0
    visits: int = 0
    left: float = 1.0
    done: list[tuple[int, str]] = field(default_factory=list)


def keep(
    world: World, name: str, visit_days: Sequence[int], keeper: Callable[[Truth], Visit]
) -> Result:
    """Let a keeper look after a world's heap until it is finished or the days are over."""
    truth = Truth.of(world)
    visit = keeper(truth)
    result = Result(name, world.seed)
    stops = sorted({*visit_days, *range(CHECK_DAYS, DAYS + 1, CHECK_DAYS)})
    actions: list[HeapAction] = []
    for day in stops:
        truth.live(24 * day, actions)
        actions = []
        if day % CHECK_DAYS == 0 and truth.is_finished():
            result.days, result.finished = float(day), True
            break
        if day in visit_days and day < DAYS:
            result.visits += 1
            actions = [_as_done(truth, one) for one in visit(day)]
            _note(result, day, actions)
    result.hot_share, result.left = truth.hot_share(), truth.left()
    return result


def _as_done(truth: Truth, meant: HeapAction) -> HeapAction:
    if meant.water_kg <= 0:
        return meant
    return replace(meant, water_kg=truth.poured(meant.water_kg))


def _note(result: Result, day: int, actions: Sequence[HeapAction]) -> None:
    for one in actions:
        result.turns += one.kind in (ActionKind.STIR, ActionKind.MOVE)
        result.water_kg += one.water_kg
        if one.fill is not None:
            result.pails += round(one.fill.volume_m3 / one_pail().volume_m3)
        if one.kind is not ActionKind.COVER:
            result.done.append((day, f"{one.kind.value} {one.water_kg:.0f}"))


@cache
def leaves() -> StockPart:
    """Return the dry shredded leaves on hand."""
    lot = Lot(
        key="leaves",
        material=load_materials()["leaves_mixed_dry"],
        container_name="pail",
        container_volume_m3=PAIL_M3,
        count=PAILS,
        fullness=Estimate.exactly(1.0),
        packing=Packing.SHREDDED,
    )
    part = container_part(lot)
    return StockPart("leaves", lot.material.name, "pail", part, PAILS, is_brown=True)


@cache
def one_pail() -> Fill:
    """Return one pail of them as the heap model takes it."""
    return fill_of(of_leaves(1))


@cache
def of_leaves(pails: int) -> Addition:
    """Return so many pails of leaves."""
    part = leaves()
    return addition_of(part.one, ((part, pails),), lambda after: True)


@dataclass(slots=True)
class ByHand:
    """A person who turns as the trade does it: outside in, by the feel of a handful."""

    truth: Truth

    def turn(self) -> list[HeapAction]:
        """Return a turn, wetted where a handful is dry."""
        felt, world = self.truth.felt_moisture(), self.truth.world
        heap = contents(self.truth.standing)
        dry = float(heap.dry_kg[0])
        lacking = max(0.0, dry * (SPONGE / (1.0 - SPONGE) - felt / (1.0 - felt)))
        return turn(world, self.truth.hour, lacking)


def turn(
    world: World, hour: int, water_kg: float, addition: Addition | None = None
) -> list[HeapAction]:
    """Return a turn into the next bin if it is free, else where it stands; a cap is laid anew."""
    cover = world.shape.cover if world.shape.cover is not Cover.OPEN else Cover.BROWN_CAP
    kind = ActionKind.MOVE if world.has_next else ActionKind.STIR
    shape = replace(world.shape, cover=cover) if world.has_next else None
    fork = HeapAction(hour, kind, water_kg=water_kg, new_bin=shape)
    if addition is None:
        return [fork]
    return [HeapAction(hour, ActionKind.ADD, fill=fill_of(addition)), fork]


def every_week(truth: Truth) -> Visit:
    """Return the keeper who turns every week."""
    person = ByHand(truth)
    return lambda day: person.turn()


def by_the_line(truth: Truth) -> Visit:
    """Return the keeper who reads every week and turns below 100 °F, once it has been warmer."""
    person = ByHand(truth)

    def visit(day: int) -> Sequence[HeapAction]:
        return person.turn() if truth.read_c() < LINE_C else ()

    return visit


def not_at_all(truth: Truth) -> Visit:
    """Return the keeper who leaves it alone."""
    return lambda day: ()


WEEKS = tuple(range(WEEK, DAYS, WEEK))
KEEPERS: dict[str, tuple[Sequence[int], Callable[[Truth], Visit]]] = {
    "line": (WEEKS, by_the_line),
    "weekly": (WEEKS, every_week),
    "alone": ((), not_at_all),
}
