"""The recipe's optimum against trying every number of containers, by code of its own.

The brute force knows the aims and weights only from their written description (`choice.csv` and
the docstrings): it shares no row, no slack and no solver with the program it checks.
"""

import csv
import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

import heapwright.mixing
from heapwright.materials.types import Role
from heapwright.mixing import recipe_model
from heapwright.mixing.recipe import choose_recipe, usable_lots
from heapwright.mixing.recipe_fetch import smallest_fetch
from heapwright.mixing.targets import default_wishes
from heapwright.mixing.types import Lot, Wishes
from tests.factories import a_lot, a_material, grass, leaves

DATA = Path(heapwright.mixing.__file__).parent / "data" / "choice.csv"
with DATA.open(encoding="utf-8") as file:
    JUDGED = {
        row["id"]: float(row["typical"])
        for row in csv.DictReader(line for line in file if not line.startswith("#"))
    }

#: The solver's own tolerance is 1e-6 in the unit of a row; rows are scaled to about 1.
SOLVER_ROUNDING = 1e-5


@dataclass(frozen=True)
class Bag:
    """One container by hand: no shared code with the program."""

    mass: float
    water: float
    carbon: float
    nitrogen: float
    filled: float
    volume: float
    urgency: float
    spoiling: float
    long_brown: float

    @classmethod
    def of(cls, lot: Lot) -> "Bag":
        m = lot.material
        mass = m.bulk_density_kg_m3.typical * lot.container_volume_m3 * lot.fullness.typical
        dry = mass * (1 - m.moisture.typical)
        ash = dry * m.ash_dry.typical
        left = max(0.0, m.keeps_days.typical - lot.age_days)
        urgency = JUDGED["urgency_half_days"] / (JUDGED["urgency_half_days"] + left)
        return cls(
            mass,
            mass - dry,
            dry * m.carbon_dry.typical,
            dry * m.nitrogen_dry.typical,
            (mass - dry) / 1000 + (dry - ash) / 1600 + ash / 2500,
            lot.container_volume_m3 * lot.fullness.typical,
            urgency,
            JUDGED["weight_food_left" if m.is_food else "weight_spoiling"],
            1 - urgency if m.role is Role.BROWN else 0.0,
        )


def cost_by_hand(bags: Sequence[Bag], counts: Sequence[int], wishes: Wishes) -> float:
    """Return what whole numbers cost by the written weights; infinite if a wish is missed."""
    used = [(bag, n) for bag, n in zip(bags, counts, strict=True) if n]
    volume = sum(bag.volume * n for bag, n in used)
    if not used or not wishes.volume_m3.low <= volume <= wishes.volume_m3.high:
        return math.inf
    carbon = sum(bag.carbon * n for bag, n in used)
    nitrogen = sum(bag.nitrogen * n for bag, n in used)
    if not wishes.c_to_n.low * nitrogen <= carbon <= wishes.c_to_n.high * nitrogen:
        return math.inf
    mass, water = sum(bag.mass * n for bag, n in used), sum(bag.water * n for bag, n in used)
    wetting = best_wetting(mass, water, volume, sum(bag.filled * n for bag, n in used), wishes)
    if wetting is None:
        return math.inf
    full = wishes.volume_m3.ideal
    off_water = abs(water + wetting - wishes.moisture.ideal * (mass + wetting))
    return (
        JUDGED["weight_c_to_n"]
        * abs(carbon - wishes.c_to_n.ideal * nitrogen)
        / (JUDGED["heap_carbon_kg_m3"] * full)
        + JUDGED["weight_c_to_n_outside"]
        * max(0.0, 25 * nitrogen - carbon, carbon - 35 * nitrogen)
        / (JUDGED["heap_carbon_kg_m3"] * full)
        + JUDGED["weight_volume"] * abs(volume - full) / full
        + JUDGED["weight_moisture"] * off_water / (JUDGED["heap_density_kg_m3"] * full)
        + JUDGED["weight_lot"] * len(used)
        + sum(n * b.volume * JUDGED["weight_reserve"] * b.long_brown / full for b, n in used)
        - sum(n * b.volume * b.spoiling * b.urgency / full for b, n in used)
    )


def best_wetting(
    mass: float, water: float, volume: float, filled: float, wishes: Wishes
) -> float | None:
    """Return the water within all wishes that is nearest to what the moisture asks for."""
    wet = wishes.moisture
    least = max(
        0.0,
        (wet.low * mass - water) / (1 - wet.low),
        wishes.bulk_density_kg_m3.low * volume - mass,
        1000 * ((1 - wishes.free_air_space.high) * volume - filled),
    )
    most = min(
        (wet.high * mass - water) / (1 - wet.high),
        wishes.bulk_density_kg_m3.high * volume - mass,
        1000 * ((1 - wishes.free_air_space.low) * volume - filled),
    )
    if least > most:
        return None
    return min(most, max(least, (wet.ideal * mass - water) / (1 - wet.ideal)))


def cheapest_by_hand(lots: Sequence[Lot], wishes: Wishes) -> float:
    bags = [Bag.of(lot) for lot in lots]
    ranges = [range(lot.count - lot.keep_back + 1) for lot in lots]
    return min(cost_by_hand(bags, counts, wishes) for counts in itertools.product(*ranges))


@st.composite
def small_gardens(draw: st.DrawFn) -> list[Lot]:
    lots = []
    for number in range(draw(st.integers(1, 4))):
        green = draw(st.booleans())
        material = a_material(
            f"stuff{number}",
            Role.GREEN if green else Role.BROWN,
            moisture=draw(st.floats(0.6, 0.88) if green else st.floats(0.08, 0.5)),
            nitrogen=draw(st.floats(0.015, 0.04) if green else st.floats(0.001, 0.012)),
            carbon=draw(st.floats(0.38, 0.52)),
            density=draw(st.floats(60, 500)),
            keeps_days=draw(st.sampled_from([1.0, 3.0, 30.0, 365.0])),
            is_food=green and draw(st.booleans()),
        )
        lots.append(
            a_lot(
                material,
                draw(st.integers(1, 6)),
                volume_m3=draw(st.sampled_from([0.02, 0.06, 0.12])),
                age_days=draw(st.floats(0, 5)),
                keep_back=draw(st.integers(0, 1)),
            )
        )
    return lots


def moved(wishes: Wishes, by: float) -> Wishes:
    """Return wishes with every limit moved outwards by a share of itself (inwards if negative)."""
    return Wishes(
        **{
            name: replace(band, low=band.low * (1 - by), high=band.high * (1 + by))
            for name in Wishes.__slots__
            if (band := getattr(wishes, name)) is not None
        }
    )


@given(small_gardens(), st.sampled_from([0.3, 0.5, 0.76]))
def test_recipe_costs_what_the_best_of_all_numbers_costs(lots: list[Lot], bin_m3: float) -> None:
    wishes = default_wishes(bin_m3)
    usable = usable_lots(lots)
    assume(usable)
    found = recipe_model.solve(usable, wishes)
    # The solver meets a limit to within its rounding, so the answer lies between the best within
    # limits moved a hair inwards and the best within limits moved a hair outwards.
    strict = cheapest_by_hand(usable, moved(wishes, -SOLVER_ROUNDING))
    loose = cheapest_by_hand(usable, moved(wishes, SOLVER_ROUNDING))
    if found is None:
        assert strict == math.inf
        return
    assert found.proven
    assert loose - 1e-4 <= found.cost <= strict + 1e-4
    bags = [Bag.of(lot) for lot in usable]
    by_hand = cost_by_hand(bags, found.counts, moved(wishes, SOLVER_ROUNDING))
    assert by_hand == pytest.approx(found.cost, abs=1e-4)


@given(small_gardens(), st.sampled_from([0.3, 0.5, 0.76]))
def test_letting_wishes_give_way_changes_nothing_where_none_has_to(
    lots: list[Lot], bin_m3: float
) -> None:
    wishes, usable = default_wishes(bin_m3), usable_lots(lots)
    assume(usable)
    strict = recipe_model.solve(usable, wishes)
    lenient = recipe_model.solve(usable, wishes, give_way=True)
    if strict is None:
        assert lenient is None or lenient.cost > 5  # a wish given way costs ten points
    else:
        assert lenient is not None
        assert lenient.cost == pytest.approx(strict.cost, abs=1e-3)


def test_recipe_finds_the_only_numbers_that_fit() -> None:
    # Two bags of 0.3 m3 fill the bin of 0.6 m3; only one of each keeps the C:N within 20 to 40.
    lots = [grass(2, volume_m3=0.3), leaves(2, volume_m3=0.3)]
    recipe = choose_recipe(lots, default_wishes(0.6))
    assert [(line.lot.material.key, line.count) for line in recipe.lines] == [
        ("grass", 1),
        ("leaves", 1),
    ]
    assert recipe.given_way == ()
    assert recipe.fetch is None
    assert recipe.proven


def test_smallest_fetch_is_the_least_number_that_fits() -> None:
    on_hand = [leaves(6)]
    wishes = default_wishes(0.76)
    offer = grass(12)
    fetch = smallest_fetch(on_hand, wishes, [(offer, 1.0)])
    fits = [
        count
        for count in range(13)
        if cheapest_by_hand([*on_hand, replace(offer, count=count)], wishes) < math.inf
    ]
    assert fetch is not None
    assert fetch.count == fits[0] > 0
    assert fetch.also == ()
