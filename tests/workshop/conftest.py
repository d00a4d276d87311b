"""A garden in a temporary folder with a clock that stands still, for the workshop's tests."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from heapwright.workshop import setup
from heapwright.workshop.garden import Garden

NOW = datetime(2026, 6, 10, 15, 0, tzinfo=UTC)


class StillClock:
    """A clock that only moves when a test says so."""

    def __init__(self, now: datetime) -> None:
        self.now = now

    def __call__(self) -> datetime:
        return self.now

    def go_on(self, **time: float) -> None:
        """Let time pass, such as `days=2`."""
        self.now += timedelta(**time)


@pytest.fixture
def clock() -> StillClock:
    """Return a clock standing at a June morning."""
    return StillClock(NOW)


@pytest.fixture
def garden(tmp_path: Path, clock: StillClock) -> Iterator[Garden]:
    """Return an empty garden with two yard-cube bins in a hot dry place."""
    with Garden.open(tmp_path / "garden.heapwright", clock) as opened:
        setup.settings(opened, origin="page", name="Test garden", climate="tucson", hose_kg_s=0.2)
        for name in ("Left", "Right"):
            setup.save_bin(
                opened,
                name=name,
                origin="page",
                width_m=0.92,
                depth_m=0.92,
                height_m=0.92,
                shade=0.5,
            )
        yield opened
