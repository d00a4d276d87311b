"""How long heaps that stand still take, where the usual lengths are endless or the heap is late."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from heapwright.errors import NotFound
from heapwright.journal.entries import EntryKind
from heapwright.season.rotation_types import Stage, StandingHeap
from heapwright.season.stage_types import NEVER_WEEKS, StageLengths
from heapwright.workshop import setup, year_standing
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log
from heapwright.workshop.stage_lengths import StageAnswer
from tests.workshop.conftest import NOW, StillClock

FILL = {"wet_mass_kg": 350.0, "moisture": 0.58, "volume_m3": 0.8, "ash_dry": 0.12}
FILL |= {"fast_share": 0.2, "medium_share": 0.4, "c_to_n": 28.0}


@pytest.fixture
def garden(tmp_path: Path) -> Iterator[Garden]:
    """Return a garden whose only heap was built 60 days ago."""
    with Garden.open(tmp_path / "garden.heapwright", StillClock(NOW)) as there:
        setup.save_bin(there, name="Bin", origin="page", width_m=1.0, depth_m=1.0, height_m=1.0)
        body = {"batch": "old", "name": "Old", "bin": "bin", "fill": FILL}
        log(there, EntryKind.BUILD, body, at=NOW - timedelta(days=60), origin="page")
        yield there


def usual(garden: Garden, *stage_days: float) -> StageAnswer:
    """Return stages that take the same in every week and for each of ten heaps."""
    days = np.empty((3, 52, 10))
    days[:] = np.array(stage_days)[:, None, None]
    nothing = np.zeros((3, 52, 10))
    lengths = StageLengths(
        weeks=np.arange(52),
        days=days,
        volume_share=np.full((4, 52, 10), 0.4),
        water_kg=nothing,
        stirs=nothing,
        hottest_c=np.full((52, 10), 60.0),
        built_m3=0.8,
    )
    return StageAnswer(lengths, NOW.date(), "bin", "Bin", 1.0, ())


def heap(garden: Garden, stages: StageAnswer, sureness: float = 0.8) -> StandingHeap:
    (found,) = year_standing.standing_heaps(garden, stages, sureness)
    return found


def says(monkeypatch: pytest.MonkeyPatch, told: Any) -> None:
    def ready(*_: object) -> Any:
        if told is None:
            raise NotFound("no model")
        return told

    monkeypatch.setattr(year_standing, "ready", ready)


def test_a_heap_that_cures_where_none_ever_gets_so_far_is_not_done_at_once(
    garden: Garden, monkeypatch: pytest.MonkeyPatch
) -> None:
    log(garden, EntryKind.CURE, {"bin": "bin"}, at=NOW - timedelta(days=1), origin="page")
    says(monkeypatch, None)
    found = heap(garden, usual(garden, 30.0, np.inf, np.inf))
    assert found.stage is Stage.CURE
    assert found.weeks_left == NEVER_WEEKS


def test_a_cure_that_began_yesterday_takes_its_whole_length(
    garden: Garden, monkeypatch: pytest.MonkeyPatch
) -> None:
    log(garden, EntryKind.CURE, {"bin": "bin"}, at=NOW - timedelta(days=1), origin="page")
    says(monkeypatch, None)
    assert heap(garden, usual(garden, 20.0, 30.0, 42.0)).weeks_left == 6  # 41 days


def test_a_heap_whose_hot_work_has_just_ended_cures_by_its_own_date(
    garden: Garden, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Longer ago built than curing takes, but its hot work ended only now: 5 weeks to come."""
    date = SimpleNamespace(hot_work_days=None, likely_days=30.0, high_days=40.0)
    says(monkeypatch, SimpleNamespace(stage="curing", date=date, expected=None))
    found = heap(garden, usual(garden, 10.0, 10.0, 30.0), sureness=0.5)
    assert found.stage is Stage.CURE
    assert found.weeks_left == 5  # 30 days


def test_the_weeks_of_a_hot_heap_are_counted_from_its_building(
    garden: Garden, monkeypatch: pytest.MonkeyPatch
) -> None:
    says(monkeypatch, None)
    found = heap(garden, usual(garden, 70.0, 21.0, np.inf))
    assert (found.stage, found.weeks_left, found.later_weeks) == (Stage.FIRST, 2, (3, NEVER_WEEKS))


def test_a_heap_of_which_the_tests_decide_waits_for_nothing_else(
    garden: Garden, monkeypatch: pytest.MonkeyPatch
) -> None:
    date = SimpleNamespace(hot_work_days=None, likely_days=0.0, high_days=7.0)
    says(monkeypatch, SimpleNamespace(stage="may be tested", date=date, expected=None))
    assert heap(garden, usual(garden, 10.0, 10.0, 30.0)).weeks_left == 0
