"""Published worked examples of mixture arithmetic, each to half of its last printed digit.

Sources: T. Richard and N. Trautmann, Cornell Composting science pages; Tchobanoglous, Theisen and
Vigil 1993; New Mexico State University garden column, December 2009 (an example that is wrong).
Where an answer was computed by us from a published equation the name ends in `equation`.
"""

import pytest

from heapwright.mixing import balance, explicit, solve
from heapwright.mixing.types import Part

HALF_A_TENTH = 0.05


def part(name: str, kg: float, moisture: float, nitrogen: float, carbon: float) -> Part:
    return Part(name, kg, moisture, nitrogen, carbon)


GRASS = part("grass", 10, 0.77, 0.024, 0.45)
LEAVES = part("leaves", 0, 0.35, 0.0075, 0.50)


def test_amount_for_moisture_matches_richard_trautmann_second_ingredient() -> None:
    assert solve.amount_for_moisture([GRASS], LEAVES, 0.60) == pytest.approx(6.8, abs=HALF_A_TENTH)


def test_amount_for_c_to_n_matches_richard_trautmann_second_ingredient() -> None:
    assert solve.amount_for_c_to_n([GRASS], LEAVES, 30) == pytest.approx(3.5, abs=HALF_A_TENTH)


def test_amount_for_c_to_n_matches_tchobanoglous1993_leaves_and_sludge() -> None:
    # Arithmetic only: sewage sludge never goes on a garden heap.
    leaves = part("leaves", 1, 0.50, 0.007, 0.007 * 50)
    sludge = part("sludge", 0, 0.75, 0.056, 0.056 * 6.3)
    amount = solve.amount_for_c_to_n([leaves], sludge, 25)
    assert amount == pytest.approx(0.33, abs=0.005)
    mixture = balance.mix([leaves, part("sludge", amount, 0.75, 0.056, 0.056 * 6.3)])
    assert mixture.moisture == pytest.approx(0.56, abs=0.005)


def test_mix_does_not_average_ratios_as_nmsu2009_column_does() -> None:
    # The column prints 32 for 4 parts by volume of manure (20:1) and 1 part of leaves (80:1).
    document = {
        "parts": [
            {
                "name": "dairy manure",
                "volume_m3": 4,
                "bulk_density_kg_m3": 865,
                "moisture": 0.81,
                "nitrogen_dry": 0.024,
                "c_to_n": 20,
            },
            {
                "name": "leaves",
                "volume_m3": 1,
                "bulk_density_kg_m3": 119,
                "moisture": 0.38,
                "nitrogen_dry": 0.009,
                "c_to_n": 80,
            },
        ]
    }
    mixture = explicit.read_explicit(document).mixture()
    assert mixture.c_to_n == pytest.approx(22.4, abs=HALF_A_TENTH)
    assert mixture.nitrogen_kg == pytest.approx(15.78 + 0.66, abs=0.01)
    assert mixture.carbon_kg == pytest.approx(315.6 + 53.1, abs=0.1)


def test_water_to_add_matches_moisture_equation() -> None:
    # E4 with water as an ingredient of moisture 1: 10 kg at 35 % to 60 % takes 6.25 kg.
    leaves = part("leaves", 10, 0.35, 0.0075, 0.50)
    assert solve.water_for_moisture([leaves], 0.60) == pytest.approx(6.25, abs=1e-12)
    assert solve.water_for_moisture([GRASS], 0.60) == pytest.approx(-4.25, abs=1e-12)


def test_nitrogen_supplement_matches_richard_equation() -> None:
    # 100 kg of leaves: C 32.5 kg, N 0.4875 kg. For C:N 30 nitrogen lacking = 32.5/30 - 0.4875
    # = 0.59583 kg; as urea of 46 % that is 1.2953 kg, and half to two thirds of it is given.
    dose = solve.nitrogen_supplement([part("leaves", 100, 0.35, 0.0075, 0.50)], 30, 0.46)
    assert dose.full_kg == pytest.approx(1.2953, abs=0.00005)
    assert dose.prudent_low_kg == pytest.approx(1.2953 / 2, abs=0.0001)
    assert dose.prudent_high_kg == pytest.approx(1.2953 * 2 / 3, abs=0.0001)
    assert dose.doses >= 2


def test_carbon_from_volatile_solids_matches_richard_equation() -> None:
    # C = VS / 1.8: a material with 50 % carbon and unknown ash has 90 % volatile solids.
    assert balance.ash_or_estimate(LEAVES) == pytest.approx(0.10, abs=0.0005)


def test_free_air_space_matches_solid_phase_equation() -> None:
    # By hand: 400 kg/m3 at 60 % moisture, solids 90 % organic:
    # 1 - 400 (0.6/1000 + 0.4 0.9/1600 + 0.4 0.1/2500) = 1 - 0.24 - 0.09 - 0.0064 = 0.6636.
    mixture = balance.mix([Part("mix", 400, 0.6, 0.02, 0.45, 400, 0.1)])
    assert mixture.free_air_space == pytest.approx(0.6636, abs=0.00005)
