"""Chooses, from the lots on hand, the whole containers that make the best heap for a bin.

Knows the order of the work: leave out what must not go in, choose, wet, recompute from whole
numbers, say what gave way and what to fetch. The program itself is in `recipe_model`.
"""

from __future__ import annotations

from collections.abc import Sequence

from heapwright.errors import NoRecipe, OutOfRange
from heapwright.materials.types import Permission, Role
from heapwright.mixing.balance import mix, water_to_target_kg
from heapwright.mixing.lots import check_lot, container_part
from heapwright.mixing.recipe_explain import given_way, reasons
from heapwright.mixing.recipe_fetch import fetchable_lots, smallest_fetch
from heapwright.mixing.recipe_model import Solution, solve
from heapwright.mixing.spread import mixture_range
from heapwright.mixing.thumb_rule import thumb_rule
from heapwright.mixing.types import Band, Fetch, GivenWay, Lot, Recipe, RecipeLine, Wishes
from heapwright.mixing.words import containers, joined, low
from heapwright.wording import worded

#: Roles that carry a heap. Minerals and starters change neither heat nor C:N and are never chosen.
_CARRYING = (Role.GREEN, Role.BROWN, Role.SUPPLEMENT)


def choose_recipe(
    lots: Sequence[Lot],
    wishes: Wishes,
    *,
    seed: int = 0,
    want_thumb_rule: bool = True,
    fetchable: Sequence[tuple[Lot, float]] | None = None,
) -> Recipe:
    """Return the best whole containers to take for a heap, and the water to add.

    Parameters
    ----------
    lots : sequence of Lot
        What is on hand; their order does not matter. Of each, `keep_back` containers stay.
        Refused materials, minerals and starters are left out and named in `reasons`.
    wishes : Wishes
        What the heap should meet, see `default_wishes`.
    seed : int, default 0
        For the ranges only; the choice itself is made at the likeliest values.
    want_thumb_rule : bool, default True
        Also tell what four brown layers to one green would have given.
    fetchable : sequence of (Lot, float), optional
        What could be fetched, with the effort for one container; the table `fetchable.csv` if
        not given. Asked only when a wish gives way.

    Returns
    -------
    Recipe
        Recomputed by mass balance from the whole containers. `proven` says that the solver
        proved its choice best by the weights of `choice.csv`.

    Raises
    ------
    NoRecipe
        If nothing on hand may be used.
    OutOfRange, NotUnderstood
        If a lot or a wish cannot be true.

    """
    check_wishes(wishes)
    for lot in lots:
        check_lot(lot)
    usable = usable_lots(lots)
    if not usable:
        raise NoRecipe(
            "There is nothing on hand to build with",
            why=_why_nothing(lots),
            instead=_what_to_gather(wishes, fetchable),
        )
    solution = solve(usable, wishes)
    met = solution is not None
    if solution is None:
        solution = solve(usable, wishes, give_way=True)
    if solution is None:
        raise NoRecipe(
            "Not even one container on hand goes into this bin",
            why="the bin's inner volume is smaller than each of them",
            instead="Check the bin's and the containers' sizes",
        )
    lines = _lines(usable, solution)
    water_kg = wetting_kg(lines, wishes.moisture.ideal, solution.water_kg)
    missed = given_way(lines, water_kg, wishes)
    fetch = None if met else _fetch(usable, wishes, fetchable)
    return _recipe(lots, wishes, lines, water_kg, solution, missed, fetch, seed, want_thumb_rule)


def usable_lots(lots: Sequence[Lot]) -> list[Lot]:
    """Return the lots that may be chosen, in an order that is always the same."""
    fit = [
        lot
        for lot in lots
        if lot.count > lot.keep_back and lot.material.role in _CARRYING and not is_refused(lot)
    ]
    return sorted(fit, key=lambda lot: (lot.material.key, lot.key, lot.age_days, lot.count))


def is_refused(lot: Lot) -> bool:
    """Whether a lot's material must not go into a home heap."""
    hazard = lot.material.hazard
    return hazard is not None and hazard.permission is Permission.REFUSED


def wetting_kg(lines: Sequence[RecipeLine], target_moisture: float, most_kg: float) -> float:
    """Return the water for a moisture, none when wet enough, never more than `most_kg`.

    `most_kg` is what the program allowed so that air and density stay within the wishes; within
    its rounding the exact amount for the target is taken. [kg]
    """
    mixture = mix([container_part(line.lot, line.count) for line in lines])
    exact = water_to_target_kg(mixture.mass_kg, mixture.mass_kg * mixture.moisture, target_moisture)
    rounding = 1e-4 * mixture.mass_kg
    if abs(exact - most_kg) <= rounding:
        return max(0.0, exact)
    return max(0.0, most_kg)


def check_wishes(wishes: Wishes) -> None:
    """Raise if a wished band is empty or not a band of numbers."""
    for name, wish in (
        ("the volume", wishes.volume_m3),
        ("C:N", wishes.c_to_n),
        ("moisture", wishes.moisture),
        ("bulk density", wishes.bulk_density_kg_m3),
        ("free air space", wishes.free_air_space),
    ):
        _check_band(name, wish)
    for name, value in (
        ("volume", wishes.volume_m3.low),
        ("C:N", wishes.c_to_n.ideal),
        ("bulk density", wishes.bulk_density_kg_m3.high),
    ):
        if value <= 0:
            raise OutOfRange(
                worded("The wish for {name} is {value:g}", name=name, value=value),
                why="it must lie above 0",
            )
    if wishes.moisture.high >= 1 or wishes.free_air_space.high > 1:
        raise OutOfRange(
            "A wish for moisture or air space reaches 1 or more",
            why="both are shares of the whole",
            instead="Give shares such as 0.55",
        )


def _check_band(name: str, wish: Band) -> None:
    if not 0 <= wish.low <= wish.ideal <= wish.high < float("inf"):
        raise OutOfRange(
            worded(
                "The wish for {name} runs from {low:g} to {high:g}, ideal {ideal:g}",
                name=name,
                low=wish.low,
                high=wish.high,
                ideal=wish.ideal,
            ),
            why="the ideal must lie between the two ends, and both be 0 or more",
            instead="Give the smaller end first",
        )


def _why_nothing(lots: Sequence[Lot]) -> str:
    if not lots:
        return "no lot is on the list"
    refused = [lot.material.name for lot in lots if is_refused(lot)]
    if refused:
        return worded(
            "what is left must not go into a home heap ({refused})", refused=", ".join(refused)
        )
    return "every container is kept back, or holds neither green nor brown"


def _what_to_gather(wishes: Wishes, fetchable: Sequence[tuple[Lot, float]] | None) -> str:
    fetch = _fetch([], wishes, fetchable)
    if fetch is None:
        return "Gather leaves or straw and something green, and put them on the list"
    amounts = joined(
        [
            worded(
                "{count} of {name}",
                count=containers(thing.count, thing.container_name),
                name=low(thing.material.name),
            )
            for thing in (fetch, *fetch.also)
        ]
    )
    return worded("Gather {amounts}: together they make a heap for this bin", amounts=amounts)


def _lines(usable: Sequence[Lot], solution: Solution) -> tuple[RecipeLine, ...]:
    lines = []
    for lot, count in zip(usable, solution.counts, strict=True):
        if count:
            part = container_part(lot, count)
            volume = part.mass_kg / part.bulk_density_kg_m3 if part.bulk_density_kg_m3 else 0.0
            lines.append(RecipeLine(lot, count, part.mass_kg, volume))
    return tuple(lines)


def _fetch(
    usable: Sequence[Lot], wishes: Wishes, fetchable: Sequence[tuple[Lot, float]] | None
) -> Fetch | None:
    return smallest_fetch(usable, wishes, fetchable_lots() if fetchable is None else fetchable)


def _recipe(
    lots: Sequence[Lot],
    wishes: Wishes,
    lines: tuple[RecipeLine, ...],
    water_kg: float,
    solution: Solution,
    missed: tuple[GivenWay, ...],
    fetch: Fetch | None,
    seed: int,
    want_thumb_rule: bool,
) -> Recipe:
    amounts = [(line.lot, float(line.count)) for line in lines]
    mixture = mixture_range(amounts, water_kg, wishes.moisture.ideal, seed=seed)
    return Recipe(
        lines=lines,
        mixture=mixture,
        water_kg=water_kg,
        proven=solution.proven,
        given_way=missed,
        fetch=fetch,
        reasons=reasons(lots, lines, mixture, wishes),
        thumb_rule=thumb_rule(lots, wishes, mixture, seed=seed) if want_thumb_rule else None,
    )
