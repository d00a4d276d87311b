"""What decisions take from published figures, against the figures as printed."""

from __future__ import annotations

import numpy as np
import pytest

from heapwright.decisions.finish_time import cardinal_temperature
from heapwright.decisions.tables import limits


@pytest.mark.parametrize(
    "temperature_c, printed",
    [(20, 0.25), (30, 0.49), (40, 0.75), (57, 1.00), (70, 0.74), (75, 0.44), (-3, 0.0), (81, 0.0)],
)
def test_cardinal_temperature_matches_rosso1993_form_at_0_57_80(
    temperature_c: float, printed: float
) -> None:
    """The same check values as the heap model's own form."""
    one = np.ones(1)
    found = cardinal_temperature(temperature_c * one, 0.0 * one, 57.0 * one, 80.0 * one)
    assert abs(float(found[0]) - printed) <= 0.005


def test_barrow_is_half_of_six_cubic_feet() -> None:
    """A full barrow of 6 ft³ weighs 100 to 136 kg: it is part-loaded."""
    assert limits()["barrow_m3"] == pytest.approx(0.5 * 6 * 0.0283168, abs=0.0005)


def test_wishes_match_cooperband2002_and_cornell() -> None:
    """Moisture ideal 45 to 60 %; C:N about 30 at the start."""
    assert 0.45 <= limits()["target_moisture"] <= limits()["wet_moisture"] <= 0.60
    assert limits()["target_c_to_n"] == 30
