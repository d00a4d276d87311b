"""Conversions and containers against printed figures, each to half of its last printed digit."""

import csv
from decimal import Decimal
from pathlib import Path

import pytest

from heapwright.quantities import (
    celsius_to_fahrenheit,
    fahrenheit_to_celsius,
    format_temperature,
    pounds_per_cubic_yard_to_kg_m3,
    standard_containers,
    to_si,
)
from heapwright.quantities.units import TemperatureUnit, units

DATA = Path(__file__).parent / "data"


def rows(name: str) -> list[dict[str, str]]:
    lines = (DATA / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def half_a_last_digit(printed: str) -> float:
    return 0.5 * 10.0 ** int(Decimal(printed).as_tuple().exponent)


@pytest.mark.parametrize("row", rows("nist_sp811_table_b8.csv"), ids=lambda row: row["unit"])
def test_to_si_matches_nist_sp811_table_b8(row: dict[str, str]) -> None:
    printed = row["to_si"]
    assert to_si(1.0, row["unit"]) == pytest.approx(
        float(printed), abs=half_a_last_digit(printed) * 1.0000001
    )


def test_units_hold_the_exact_definitions_of_nist_sp811() -> None:
    inch, foot, yard = (units()[name].to_si for name in ("in", "ft", "yd"))
    assert inch == 0.0254
    assert (foot, yard) == (0.3048, 0.9144)
    assert units()["ft3"].to_si == pytest.approx(foot**3, rel=1e-15)
    assert units()["yd3"].to_si == pytest.approx(yard**3, rel=1e-15)
    assert units()["gal"].to_si == pytest.approx(231 * inch**3, rel=1e-15)
    assert units()["lb"].to_si == 0.45359237
    assert units()["oz"].to_si * 16 == units()["lb"].to_si


@pytest.mark.parametrize(
    "row", rows("nraes54_bulletin_bulk_density.csv"), ids=lambda row: row["material"]
)
def test_pounds_per_cubic_yard_matches_nraes54_table_a1(row: dict[str, str]) -> None:
    density = pounds_per_cubic_yard_to_kg_m3(float(row["lb_per_yd3"]))
    assert density == pytest.approx(float(row["kg_per_m3"]), abs=0.5)


@pytest.mark.parametrize(
    "row", rows("massachusetts_yards_per_ton.csv"), ids=lambda r: r["material"]
)
def test_weight_of_a_yard_matches_massachusetts_yards_per_ton(row: dict[str, str]) -> None:
    ton_kg = to_si(2000.0, "lb")
    yard_kg = to_si(float(row["lb_per_yd3"]), "lb")
    assert ton_kg / yard_kg == pytest.approx(float(row["yd3_per_ton"]), abs=0.5)


@pytest.mark.parametrize("row", rows("containers_f3.csv"), ids=lambda row: row["container"])
def test_standard_containers_match_reference_table_f3(row: dict[str, str]) -> None:
    volume = standard_containers()[row["container"]].volume_m3
    for printed, unit in ((row["cubic_feet"], "ft3"), (row["litres"], "L")):
        assert volume / to_si(1.0, unit) == pytest.approx(
            float(printed), abs=half_a_last_digit(printed)
        )
    per_yard = row["per_cubic_yard"]
    assert to_si(1.0, "yd3") / volume == pytest.approx(
        float(per_yard), abs=half_a_last_digit(per_yard)
    )


def test_fahrenheit_matches_the_definition_at_freezing_and_boiling() -> None:
    assert (celsius_to_fahrenheit(0.0), celsius_to_fahrenheit(100.0)) == (32.0, 212.0)
    assert fahrenheit_to_celsius(-40.0) == -40.0


@pytest.mark.parametrize(
    ("celsius", "fahrenheit"), [(40, 104), (60, 140), (65, 149), (74, 165), (85, 185)]
)
def test_format_temperature_matches_nrcs317_and_cornell_pairs(
    celsius: int, fahrenheit: int
) -> None:
    # 40-60 and 65 °C: Cornell Compost Physics; 165 °F = 74 °C, 185 °F = 85 °C: NRCS Job Sheet 317.
    shown = format_temperature(fahrenheit_to_celsius(fahrenheit), TemperatureUnit.C)
    assert shown == f"{celsius} °C"
