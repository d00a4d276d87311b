"""The heap model's rate factors and moist air against the printed values they come from."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import psychrolib
import pytest

from heapwright.heap import kernel_air, kernel_cells, layout
from heapwright.heap.parameters import load_parameters, parameter_estimates, sample_parameters

P: Any = load_parameters()


def factors(**values: float) -> Any:
    """Return the shipped parameters as the kernel's record, some of them replaced."""
    row = np.zeros(1, dtype=layout.PARAMETER_DTYPE)
    for name in layout.PARAMETER_DTYPE.names:
        row[name] = values.get(name, getattr(P, name))
    return row.view(np.recarray)[0]


# The notes also print 0.30 at 0.35 and 0.94 at 0.55 (F1), and 0.25 at 0.10 (F2); the printed
# coefficients give 0.295, 0.935 and 0.245, so those three are slips of rounding and left out.
@pytest.mark.parametrize(
    "moisture, printed",
    [(0.20, 0.03), (0.30, 0.15), (0.40, 0.50), (0.45, 0.71), (0.50, 0.86), (0.60, 0.97)],
)
def test_moisture_factor_matches_haug1993_f1(moisture: float, printed: float) -> None:
    found = kernel_cells.logistic.py_func(P.moisture_slope * moisture - P.moisture_shift)
    assert abs(found - printed) <= 0.005


@pytest.mark.parametrize(
    "space, printed",
    [(0.05, 0.09), (0.15, 0.51), (0.20, 0.78), (0.25, 0.92), (0.30, 0.97)],
)
def test_air_space_factor_matches_haug1993_f2(space: float, printed: float) -> None:
    found = kernel_cells.logistic.py_func(P.air_space_slope * space - P.air_space_shift)
    assert abs(found - printed) <= 0.005


@pytest.mark.parametrize("x", np.linspace(-12.0, 12.0, 25))
def test_series_logistic_matches_the_library(x: float) -> None:
    assert kernel_cells.logistic.py_func(x) == pytest.approx(1 / (1 + math.exp(-x)), rel=1e-5)


@pytest.mark.parametrize(
    "temperature_c, printed",
    [(20, 0.25), (30, 0.49), (40, 0.75), (57, 1.00), (70, 0.74), (75, 0.44)],
)
def test_temperature_factor_matches_rosso1993_form_at_0_57_80(
    temperature_c: float, printed: float
) -> None:
    p = factors(temperature_lowest_c=0.0, temperature_best_c=57.0, temperature_highest_c=80.0)
    work = np.zeros((layout.WORK_ROWS, 1))
    work[layout.TEMPERATURE] = temperature_c
    work[layout.FACTOR] = 1.0
    kernel_cells.reaction_rates.py_func(p, work, 0, 1)
    assert abs(work[layout.RATE, 0] - printed) <= 0.005


@pytest.mark.parametrize("temperature_c", [-10.0, -6.0, 0.5, 30.0, 57.0, 70.0, 80.4, 85.0])
def test_temperature_slope_is_that_of_the_factor(temperature_c: float) -> None:
    p = factors()
    rates = []
    for t in (temperature_c - 1e-4, temperature_c + 1e-4, temperature_c):
        work = np.zeros((layout.WORK_ROWS, 1))
        work[layout.TEMPERATURE] = t
        work[layout.FACTOR] = 1.0
        kernel_cells.reaction_rates.py_func(p, work, 0, 1)
        rates.append(work[[layout.RATE, layout.RATE_RISE], 0])
    slope = (rates[1][0] - rates[0][0]) / 2e-4
    assert rates[2][0] * rates[2][1] == pytest.approx(slope, abs=2e-4)


def test_saturation_pressure_matches_psychrolib_over_water() -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)
    for t in np.arange(0.5, 100.0, 0.5):
        found, slope = kernel_air.saturation_pressure.py_func(t)
        assert found == pytest.approx(psychrolib.GetSatVapPres(float(t)), rel=1e-4)
        ends = [kernel_air.saturation_pressure.py_func(t + d)[0] for d in (-1e-3, 1e-3)]
        assert slope == pytest.approx((ends[1] - ends[0]) / 2e-3, rel=1e-5)


@pytest.mark.parametrize("t, pascal, latent_kj", [(60.0, 19945.8, 2357.7), (70.0, 31200.6, 2333.1)])
def test_saturation_and_latent_heat_match_iapws97(
    t: float, pascal: float, latent_kj: float
) -> None:
    """Ideal gas and one linear latent heat: within 0.1 % and 0.3 % of the standard."""
    assert kernel_air.saturation_pressure.py_func(t)[0] == pytest.approx(pascal, rel=1e-3)
    latent = P.latent_heat_j_kg + (P.vapour_heat_j_kg_k - P.water_heat_j_kg_k) * t
    assert latent / 1000 == pytest.approx(latent_kj, rel=3e-3)


@pytest.mark.parametrize("t", [5.0, 20.0, 45.0, 60.0, 70.0, 80.0])
def test_saturated_air_matches_psychrolib(t: float) -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)
    work = np.zeros((layout.WORK_ROWS, 1))
    work[layout.TEMPERATURE], work[layout.ACTIVITY] = t, 1.0
    kernel_cells.saturations.py_func(work, 0, 1)
    kernel_cells.moist_air.py_func(factors(), work, 0, 1)
    omega = psychrolib.GetSatHumRatio(t, P.air_pressure_pa)
    assert work[layout.OMEGA, 0] == pytest.approx(omega, rel=3e-4)
    enthalpy = work[layout.HEAT, 0] + P.air_heat_j_kg_k * t
    assert enthalpy == pytest.approx(psychrolib.GetSatAirEnthalpy(t, P.air_pressure_pa), rel=3e-4)


@pytest.mark.parametrize("t, humidity", [(0.5, 0.3), (15.0, 0.7), (33.0, 0.9)])
def test_outside_air_matches_psychrolib(t: float, humidity: float) -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)
    omega, density = kernel_air.outside_air.py_func(P, t, humidity)
    wanted = psychrolib.GetHumRatioFromRelHum(t, humidity, P.air_pressure_pa)
    assert omega == pytest.approx(wanted, rel=2e-4)
    assert density == pytest.approx(
        psychrolib.GetMoistAirDensity(t, wanted, P.air_pressure_pa), rel=1e-3
    )


def test_conductivity_of_a_moist_home_mix_lies_in_the_measured_span() -> None:
    """Ahn and co-workers (2009, abstract): 0.12 to 0.81 W/(m K) for moist bulking materials."""
    found = (
        P.conductivity_bare_w_m_k
        + P.conductivity_per_dry_w_m2_kg * 160.0
        + P.conductivity_per_water_w_m2_kg * 240.0
    )
    assert 0.12 <= found <= 0.81


def test_every_number_lies_in_its_range_and_names_its_source() -> None:
    table = parameter_estimates()
    assert tuple(table) == layout.PARAMETER_DTYPE.names
    for name, value in table.items():
        assert value.low <= value.typical <= value.high, name
        assert value.source, name


def test_sampled_numbers_keep_to_their_ranges() -> None:
    rows = sample_parameters(4000, np.random.default_rng(1))
    table = parameter_estimates()
    for column, name in enumerate(layout.PARAMETER_DTYPE.names):
        drawn, value = rows[:, column], table[name]
        inside = np.mean((drawn >= value.low - 1e-12) & (drawn <= value.high + 1e-12))
        assert inside > 0.85, name
        assert np.median(drawn) == pytest.approx(value.typical, rel=0.03, abs=0.2), name
