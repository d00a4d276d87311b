"""The soil under the heap against the same memory as a digital filter of SciPy."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import lfilter, lfiltic

from heapwright.heap import layout
from heapwright.heap.stretches import weather_table
from tests.laws.heap_courses import weather


@pytest.mark.parametrize("memory_days", [0.5, 7.0, 60.0])
def test_the_soil_is_the_air_through_a_first_order_filter(memory_days: float) -> None:
    series = weather(20, 12.0)
    kept = np.exp(-1.0 / (24.0 * memory_days))
    rise, recursion = [1.0 - kept], [1.0, -kept]
    before = lfiltic(rise, recursion, [series.temperature_c[:168].mean()])
    expected, _ = lfilter(rise, recursion, series.temperature_c, zi=before)
    found = weather_table(series, memory_days)[:, layout.SOIL_C]
    np.testing.assert_allclose(found, expected, rtol=0, atol=1e-9)
    assert np.ptp(found) > 0.01
