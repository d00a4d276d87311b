"""Laws of mixtures: masses are kept, ratios lie between those of the parts, order is nothing."""

import math
from dataclasses import replace
from random import Random

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from heapwright.materials.types import Packing
from heapwright.mixing import balance, explicit, solve, spread
from heapwright.mixing.lots import container_part, lot_properties, product
from heapwright.mixing.types import Mixture, Part
from heapwright.tables import Estimate
from tests.factories import a_lot, a_material, grass, leaves


@st.composite
def parts(draw: st.DrawFn) -> Part:
    """Return a part that can be true, kitchen pulp to wood chips."""
    ash = draw(st.floats(0.01, 0.4))
    nitrogen = draw(st.floats(0.0005, 0.1))
    fast = draw(st.floats(0, 0.6))
    return Part(
        name="stuff",
        mass_kg=draw(st.floats(0.01, 500)),
        moisture=draw(st.floats(0.02, 0.95)),
        nitrogen_dry=nitrogen,
        carbon_dry=draw(st.floats(0.1, min(0.6, 0.99 - ash - nitrogen))),
        bulk_density_kg_m3=draw(st.floats(20, 900)),
        ash_dry=ash,
        fast_share=fast,
        medium_share=draw(st.floats(0, 0.99 - fast)),
    )


some_parts = st.lists(parts(), min_size=1, max_size=6)


def as_part(mixture: Mixture) -> Part:
    """Return a mixture as one part, to be mixed again."""
    dry = mixture.dry_mass_kg
    return Part(
        "mixture",
        mixture.mass_kg,
        mixture.moisture,
        mixture.nitrogen_kg / dry,
        mixture.carbon_kg / dry,
        mixture.bulk_density_kg_m3,
        mixture.ash_kg / dry,
        mixture.fast_share,
        mixture.medium_share,
    )


@given(some_parts, st.floats(0, 200))
def test_masses_are_kept(stuff: list[Part], water_kg: float) -> None:
    mixture = balance.mix(stuff, water_kg)
    dry = sum(p.mass_kg * (1 - p.moisture) for p in stuff)
    assert mixture.mass_kg == pytest.approx(sum(p.mass_kg for p in stuff) + water_kg)
    assert mixture.dry_mass_kg == pytest.approx(dry)
    assert mixture.mass_kg * (1 - mixture.moisture) == pytest.approx(dry, rel=1e-6)
    assert mixture.nitrogen_kg == pytest.approx(
        sum(p.mass_kg * (1 - p.moisture) * p.nitrogen_dry for p in stuff)
    )
    assert mixture.carbon_kg + mixture.nitrogen_kg + mixture.ash_kg <= dry * (1 + 1e-9)


@given(some_parts, some_parts)
def test_mixing_in_two_steps_is_mixing_at_once(one: list[Part], two: list[Part]) -> None:
    at_once = balance.mix([*one, *two])
    in_steps = balance.mix([as_part(balance.mix(one)), as_part(balance.mix(two))])
    for name in Mixture.__slots__:
        whole = getattr(at_once, name)
        if isinstance(whole, float):
            assert getattr(in_steps, name) == pytest.approx(whole, rel=1e-6, abs=1e-9), name


@given(some_parts, st.randoms(use_true_random=False))
def test_order_of_parts_changes_nothing_at_all(stuff: list[Part], random: Random) -> None:
    shuffled = stuff.copy()
    random.shuffle(shuffled)
    assert balance.mix(shuffled, 3.0, 0.55) == balance.mix(stuff, 3.0, 0.55)


@given(some_parts)
def test_ratio_moisture_and_density_lie_between_those_of_the_parts(stuff: list[Part]) -> None:
    mixture = balance.mix(stuff)
    ratios = [p.carbon_dry / p.nitrogen_dry for p in stuff]
    densities = [p.bulk_density_kg_m3 or math.nan for p in stuff]
    assert min(ratios) * (1 - 1e-9) <= mixture.c_to_n <= max(ratios) * (1 + 1e-9)
    wet = [p.moisture for p in stuff]
    assert min(wet) - 1e-9 <= mixture.moisture <= max(wet) + 1e-9
    assert mixture.bulk_density_kg_m3 is not None
    assert min(densities) * (1 - 1e-9) <= mixture.bulk_density_kg_m3 <= max(densities) * (1 + 1e-9)


@given(some_parts, st.floats(0, 100), st.floats(0.01, 100))
def test_more_water_makes_it_wetter_denser_and_less_airy(
    stuff: list[Part], water_kg: float, more_kg: float
) -> None:
    less, more = balance.mix(stuff, water_kg), balance.mix(stuff, water_kg + more_kg)
    assert more.moisture > less.moisture
    assert more.c_to_n == less.c_to_n
    assert more.volume_m3 == less.volume_m3
    assert (more.bulk_density_kg_m3 or 0) > (less.bulk_density_kg_m3 or 0)
    assert (more.free_air_space or 0) <= (less.free_air_space or 0)
    assert 0 <= (more.free_air_space or 0) <= 1


@given(some_parts, st.floats(0.05, 0.95))
def test_water_to_add_brings_the_mix_to_the_target(stuff: list[Part], target: float) -> None:
    lacking = balance.mix(stuff, target_moisture=target).water_to_add_kg
    assume(lacking >= 0)
    wetted = balance.mix(stuff, lacking, target)
    assert wetted.moisture == pytest.approx(target, rel=1e-9)
    assert wetted.water_to_add_kg == pytest.approx(0, abs=1e-6 * wetted.mass_kg / (1 - target))


@given(parts(), st.floats(1, 50))
def test_twice_as_much_of_everything_is_the_same_stuff(part: Part, times: float) -> None:
    one, many = balance.mix([part]), balance.mix([replace(part, mass_kg=part.mass_kg * times)])
    assert many.c_to_n == pytest.approx(one.c_to_n)
    assert many.free_air_space == pytest.approx(one.free_air_space, abs=1e-9)
    assert many.mass_kg == pytest.approx(one.mass_kg * times)


@given(parts())
def test_wet_and_dry_basis_are_two_ways_to_say_one_thing(part: Part) -> None:
    dry_row = {
        "name": "A",
        "mass_kg": part.mass_kg,
        "moisture": part.moisture,
        "nitrogen_dry": part.nitrogen_dry,
        "carbon_dry": part.carbon_dry,
        "ash_dry": part.ash_dry,
        "bulk_density_kg_m3": part.bulk_density_kg_m3,
    }
    dry_share = 1 - part.moisture
    wet_row = dry_row | {
        key: dry_row[key] * dry_share for key in ("nitrogen_dry", "carbon_dry", "ash_dry")
    }
    dry = explicit.answer(explicit.read_explicit({"parts": [dry_row]}).mixture())
    wet = explicit.answer(explicit.read_explicit({"parts": [wet_row], "basis": "wet"}).mixture())
    own_basis = {"parts": [wet_row | {"basis": "wet"}], "basis": "dry"}
    own = explicit.answer(explicit.read_explicit(own_basis).mixture())
    assert own == wet
    for key, value in dry.items():
        if isinstance(value, float):
            assert wet[key] == pytest.approx(value, rel=1e-9), key


@given(parts(), parts(), st.floats(10, 60))
def test_amount_for_a_ratio_makes_that_ratio(one: Part, other: Part, goal: float) -> None:
    ratios = sorted(p.carbon_dry / p.nitrogen_dry for p in (one, other))
    assume(ratios[0] * 1.01 < goal < ratios[1] * 0.99)
    amount = solve.amount_for_c_to_n([one], other, goal)
    made = balance.mix([one, replace(other, mass_kg=amount)]) if amount < 1e5 else None
    assert made is None or made.c_to_n == pytest.approx(goal, rel=1e-9)


@given(some_parts, st.floats(10, 60), st.floats(0.05, 1))
def test_nitrogen_supplement_never_asks_for_less_than_nothing(
    stuff: list[Part], goal: float, share: float
) -> None:
    dose = solve.nitrogen_supplement(stuff, goal, share)
    assert 0 <= dose.prudent_low_kg <= dose.prudent_high_kg <= dose.full_kg
    enough = balance.mix(stuff).c_to_n <= goal
    assert (dose.full_kg == 0) == enough


@given(st.floats(0.01, 10), st.floats(0.01, 0.9), st.floats(0.01, 3))
def test_range_of_a_product_holds_the_typical_and_is_narrower_than_all_ends_at_once(
    value: float, down: float, up: float
) -> None:
    one = Estimate(value * (1 - down), value, value * (1 + up))
    both = product(one, one)
    assert both.low <= both.typical <= both.high
    assert both.typical == pytest.approx(value * value)
    assert one.low**2 <= both.low * (1 + 1e-9)
    assert both.high <= one.high**2 * (1 + 1e-9)


def test_sampled_estimate_has_its_ends_at_the_5th_and_95th_percentile() -> None:
    z = np.random.default_rng(1).standard_normal(200_000)
    values = spread.sampled(Estimate(10, 20, 50), z)
    assert np.percentile(values, [5, 50, 95]) == pytest.approx([10, 20, 50], rel=0.02)


def test_range_of_a_mixture_holds_the_likely_mixture() -> None:
    found = spread.mixture_range([(grass(), 3), (leaves(), 2)], 5.0, 0.6)
    for name in ("c_to_n", "moisture", "mass_kg", "free_air_space"):
        estimate = getattr(found, name)
        assert estimate.low < estimate.typical == getattr(found.likely, name) < estimate.high


def test_range_depends_neither_on_order_nor_on_splitting_a_lot_of_one_material() -> None:
    one = spread.mixture_range([(grass(), 4), (leaves(), 2)])
    assert spread.mixture_range([(leaves(), 2), (grass(), 4)]) == one
    # What is not known is the material: two bags from two lots are as uncertain as two from one.
    halves = [(replace(grass(), key="a"), 2), (replace(grass(), key="b"), 2), (leaves(), 2)]
    split = spread.mixture_range(halves)
    assert split.c_to_n.low == pytest.approx(one.c_to_n.low, rel=1e-9)
    assert split.c_to_n.high == pytest.approx(one.c_to_n.high, rel=1e-9)


def test_measuring_narrows_the_range() -> None:
    unknown = spread.mixture_range([(grass(), 4), (leaves(), 2)])
    weighed = {"container_mass_kg": Estimate.exactly(12.48), "moisture": Estimate.exactly(0.77)}
    known = spread.mixture_range([(replace(grass(), measured=weighed), 4), (leaves(), 2)])
    assert known.mass_kg.high - known.mass_kg.low < unknown.mass_kg.high - unknown.mass_kg.low
    assert known.moisture.high - known.moisture.low < unknown.moisture.high - unknown.moisture.low


def test_material_without_nitrogen_has_an_infinite_ratio_and_no_fault() -> None:
    chips = a_lot(a_material("chips", nitrogen=0.0))
    found = spread.mixture_range([(chips, 2)])
    assert found.c_to_n.typical == math.inf
    assert found.c_to_n.low == math.inf


def test_own_container_mass_outranks_everything() -> None:
    lot = replace(leaves(), measured={"container_mass_kg": Estimate.exactly(7.0)})
    assert container_part(lot, 3).mass_kg == pytest.approx(21.0)
    density = replace(lot, measured={"bulk_density_kg_m3": Estimate.exactly(50.0)})
    assert container_part(density).mass_kg == pytest.approx(50.0 * 0.12)


def test_own_moisture_keeps_the_dry_matter_in_a_container() -> None:
    drier = replace(leaves(), measured={"moisture": Estimate.exactly(0.10)})
    usual, dry = container_part(leaves()), container_part(drier)
    assert dry.mass_kg * (1 - 0.10) == pytest.approx(usual.mass_kg * (1 - usual.moisture))
    assert dry.mass_kg < usual.mass_kg


def test_pressing_puts_more_in_a_container_and_is_undone_in_the_heap() -> None:
    material = a_material(pressed=2.0)
    loose = lot_properties(a_lot(material))
    pressed = lot_properties(a_lot(material, packing=Packing.PRESSED))
    assert pressed.container_mass_kg.typical == pytest.approx(2 * loose.container_mass_kg.typical)
    assert pressed.heap_density_kg_m3.typical == pytest.approx(loose.heap_density_kg_m3.typical)
    assert pressed.heap_volume_m3.typical == pytest.approx(2 * loose.heap_volume_m3.typical)
    shredded = lot_properties(a_lot(material, packing=Packing.SHREDDED))
    assert shredded.heap_volume_m3.typical == pytest.approx(loose.heap_volume_m3.typical)
    assert shredded.heap_density_kg_m3.typical == pytest.approx(
        1.5 * loose.heap_density_kg_m3.typical
    )
