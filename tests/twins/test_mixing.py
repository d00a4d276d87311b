"""Mixing by two routes: formulas against a linear system, sampled sums against single mixtures."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from heapwright.errors import NoRecipe
from heapwright.mixing import balance, solve, spread
from heapwright.mixing.types import Part
from heapwright.tables import Estimate
from tests.factories import about, grass, leaves

shares = st.floats(0.05, 0.9)


@st.composite
def stuff(draw: st.DrawFn, name: str) -> Part:
    return Part(
        name,
        draw(st.floats(1, 100)),
        draw(shares),
        draw(st.floats(0.001, 0.06)),
        draw(st.floats(0.3, 0.55)),
    )


@given(stuff("one"), stuff("two"), stuff("three"), st.floats(0.3, 0.8), st.floats(15, 60))
def test_two_unknown_amounts_are_those_of_the_linear_system(
    known: Part, first: Part, second: Part, moisture: float, ratio: float
) -> None:
    def column(part: Part) -> list[float]:
        dry = 1 - part.moisture
        return [part.moisture - moisture, dry * (part.carbon_dry - ratio * part.nitrogen_dry)]

    matrix = np.array([column(first), column(second)]).T
    assume(np.linalg.cond(matrix) < 1e6)
    expected = np.linalg.solve(matrix, -known.mass_kg * np.array(column(known)))
    if expected.min() < 0:
        assume(expected.min() < -1e-9)
        with pytest.raises(NoRecipe):
            solve.amounts_for_both([known], (first, second), moisture, ratio)
        return
    amounts = solve.amounts_for_both([known], (first, second), moisture, ratio)
    assert amounts == pytest.approx(tuple(expected), rel=1e-6, abs=1e-9)


@given(stuff("one"), stuff("two"), st.floats(0.1, 0.9), st.floats(10, 60))
def test_one_unknown_amount_is_found_again_by_mixing_it_in(
    known: Part, other: Part, moisture: float, ratio: float
) -> None:
    try:
        for_moisture = solve.amount_for_moisture([known], other, moisture)
        for_ratio = solve.amount_for_c_to_n([known], other, ratio)
    except NoRecipe:
        return
    assume(max(for_moisture, for_ratio) < 1e5)
    wet = balance.mix([known, replace(other, mass_kg=for_moisture)])
    assert wet.moisture == pytest.approx(moisture, rel=1e-9)
    even = balance.mix([known, replace(other, mass_kg=for_ratio)])
    assert even.c_to_n == pytest.approx(ratio, rel=1e-9)


def test_water_as_an_ingredient_is_water_to_add() -> None:
    # E9 with water as one unknown is E10 after E7.
    known = Part("grass", 10, 0.5, 0.024, 0.45)
    straw = Part("straw", 0, 0.1, 0.005, 0.45)
    water = Part("water", 0, 1.0, 0.0, 0.0)
    straw_kg, water_kg = solve.amounts_for_both([known], (straw, water), 0.6, 30)
    assert straw_kg == pytest.approx(solve.amount_for_c_to_n([known], straw, 30))
    mixed = [known, replace(straw, mass_kg=straw_kg)]
    assert water_kg == pytest.approx(solve.water_for_moisture(mixed, 0.6))


def test_range_without_uncertainty_is_the_mixture_itself() -> None:
    exact = {
        name: Estimate.exactly(getattr(grass().material, name).typical)
        for name in ("moisture", "nitrogen_dry", "carbon_dry", "bulk_density_kg_m3", "ash_dry")
    }
    lot = replace(grass(), measured=exact)
    found = spread.mixture_range([(lot, 3)], 4.0, 0.85, draws=50)
    for name in ("c_to_n", "moisture", "mass_kg", "volume_m3", "free_air_space", "water_to_add_kg"):
        estimate = getattr(found, name)
        assert estimate.low == pytest.approx(estimate.high, rel=1e-9)
        assert estimate.typical == pytest.approx(getattr(found.likely, name), rel=1e-9)


@given(st.integers(0, 5), st.integers(1, 5), st.floats(0, 30))
def test_every_draw_is_the_mixture_of_its_own_values(
    bags_of_grass: int, bags_of_leaves: int, water_kg: float
) -> None:
    lots = [(replace(grass(), fullness=about(0.9, 0.1)), bags_of_grass), (leaves(), bags_of_leaves)]
    draws = spread.draw_mixtures(lots, water_kg, seed=3, draws=20)
    for i in range(20):
        dry = draws.dry[i]
        one = balance.mix(
            [
                Part(
                    "all",
                    float(draws.mass[i] - water_kg),
                    float((draws.water[i] - water_kg) / (draws.mass[i] - water_kg)),
                    float(draws.nitrogen[i] / dry),
                    float(draws.carbon[i] / dry),
                    float((draws.mass[i] - water_kg) / draws.volume[i]),
                    float(draws.ash[i] / dry),
                )
            ],
            water_kg,
        )
        assert one.dry_mass_kg == pytest.approx(dry)
        assert one.c_to_n == pytest.approx(draws.carbon[i] / draws.nitrogen[i])
        assert one.volume_m3 == pytest.approx(draws.volume[i])
        filled = balance.solid_and_water_volume_m3(draws.water, draws.dry, draws.ash)[i]
        assert one.free_air_space == pytest.approx(max(0.0, 1 - filled / draws.volume[i]))


def test_the_likely_mixture_can_stand_first_among_the_draws() -> None:
    lots = [(grass(), 3), (leaves(), 2)]
    draws = spread.draw_mixtures(lots, 5.0, seed=1, draws=10, likely_first=True)
    likely = spread.mixture_range(lots, 5.0).likely
    assert draws.mass[0] == likely.mass_kg
    assert draws.carbon[0] / draws.nitrogen[0] == pytest.approx(likely.c_to_n)
    plain = spread.draw_mixtures(lots, 5.0, seed=1, draws=10)
    assert np.array_equal(draws.mass[1:], plain.mass[1:])
