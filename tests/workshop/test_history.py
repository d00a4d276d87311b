"""What the journal says of a heap, as the model reads it."""

from datetime import timedelta

import pytest

from heapwright.workshop import build, stock
from heapwright.workshop.garden import Garden
from heapwright.workshop.history import built_fills, heap_history, settings_table
from tests.workshop.conftest import NOW

BIN_M3 = 0.92**3


@pytest.mark.parametrize(("barrows", "is_pressed"), [(3, False), (9, True)])
def test_what_stands_far_above_the_rim_is_pressed_in_and_keeps_its_mass(
    garden: Garden, barrows: int, is_pressed: bool
) -> None:
    at = NOW - timedelta(days=1)
    stock.add_lot(
        garden, material="straw", container="wheelbarrow", count=barrows, at=at, origin="page"
    )
    counts = {line.lot.key: line.lot.count for line in stock.stock(garden)}
    build.record_build(garden, "left", counts, 20.0, "High heap", at=at, origin="page")
    batch = garden.batch_in("left")
    assert batch is not None
    loose = built_fills(garden.state(), batch.entries[0], 1)[0]
    (fill,) = heap_history(garden.state(), batch, 1).fills
    most = settings_table()["heaped_over_bin"] * BIN_M3
    assert (loose.volume_m3 > most) is is_pressed
    assert fill.volume_m3 == pytest.approx(min(loose.volume_m3, most))
    assert fill.wet_mass_kg == loose.wet_mass_kg
