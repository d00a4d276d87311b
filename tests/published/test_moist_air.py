"""Moist air against psychrolib and against printed steam-table values."""

import numpy as np
import psychrolib
import pytest

from heapwright.weather import moist_air

psychrolib.SetUnitSystem(psychrolib.SI)

#: IAPWS-97 saturation pressure [Pa] and latent heat [J/kg], as printed (stack notes of the house).
IAPWS_97 = {60.0: (19_945.8, 2_357_700.0), 70.0: (31_200.6, 2_333_100.0)}
#: Latent heat at the triple and the boiling point, from steam tables [kJ/kg] (from memory).
STEAM_TABLE = {0.01: 2500.9, 100.0: 2256.4}


@pytest.mark.parametrize("temperature_c", np.linspace(-40, 100, 29))
def test_saturation_pressure_matches_psychrolib(temperature_c: float) -> None:
    expected = psychrolib.GetSatVapPres(temperature_c)
    assert moist_air.saturation_pressure_pa(temperature_c) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("temperature_c", IAPWS_97)
def test_saturation_pressure_matches_iapws_97(temperature_c: float) -> None:
    pressure, _ = IAPWS_97[temperature_c]
    assert moist_air.saturation_pressure_pa(temperature_c) == pytest.approx(pressure, rel=2e-4)


@pytest.mark.parametrize("temperature_c", IAPWS_97)
def test_latent_heat_matches_iapws_97(temperature_c: float) -> None:
    _, heat = IAPWS_97[temperature_c]
    assert moist_air.latent_heat_j_kg(temperature_c) == pytest.approx(heat, abs=50.0)


@pytest.mark.parametrize("temperature_c", STEAM_TABLE)
def test_latent_heat_matches_steam_table(temperature_c: float) -> None:
    heat = STEAM_TABLE[temperature_c] * 1000.0
    assert moist_air.latent_heat_j_kg(temperature_c) == pytest.approx(heat, rel=2e-4)


@pytest.mark.parametrize("temperature_c", [-10.0, 5.0, 20.0, 45.0, 60.0, 70.0])
@pytest.mark.parametrize("humidity", [0.1, 0.5, 1.0])
def test_humidity_ratio_and_density_match_psychrolib(temperature_c: float, humidity: float) -> None:
    pressure = 92_000.0
    ratio = psychrolib.GetHumRatioFromRelHum(temperature_c, humidity, pressure)
    assert moist_air.humidity_ratio(temperature_c, humidity, pressure) == pytest.approx(
        ratio, rel=1e-6
    )
    density = psychrolib.GetMoistAirDensity(temperature_c, ratio, pressure)
    assert moist_air.density_kg_m3(temperature_c, humidity, pressure) == pytest.approx(
        density, rel=1e-6
    )


@pytest.mark.parametrize("temperature_c", [-20.0, 3.0, 25.0, 60.0])
@pytest.mark.parametrize("humidity", [0.05, 0.4, 0.99])
def test_dew_point_matches_psychrolib(temperature_c: float, humidity: float) -> None:
    expected = psychrolib.GetTDewPointFromRelHum(temperature_c, humidity)
    assert moist_air.dew_point_c(temperature_c, humidity) == pytest.approx(expected, abs=1e-3)


def test_pressure_at_height_matches_psychrolib() -> None:
    for height_m in (0.0, 273.0, 809.0, 1619.0):
        expected = psychrolib.GetStandardAtmPressure(height_m)
        assert moist_air.pressure_at_height_pa(height_m) == pytest.approx(expected, rel=1e-9)
