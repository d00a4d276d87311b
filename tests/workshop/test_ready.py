"""Ready or not, from a real journal: tests, uses, the date, what to expect, and Today with it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from heapwright.advice.types import Job
from heapwright.errors import NotFound
from heapwright.finish.types import Procedure, Readiness, Verdict
from heapwright.journal.entries import EntryKind
from heapwright.sentences import Reader, render
from heapwright.workshop import build, demo, stock
from heapwright.workshop.garden import Garden
from heapwright.workshop.log import log, undo
from heapwright.workshop.plain import to_plain
from heapwright.workshop.ready import ready
from heapwright.workshop.ready_answer import Ready
from heapwright.workshop.today import bin_today
from tests.workshop.conftest import NOW, StillClock

BAG = {"procedure": "bag", "days": 6, "smell": "earthy"}
POT = {"procedure": "radish-pot", "sown": 12, "up": 10}


@pytest.fixture(scope="module")
def demo_garden(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Garden]:
    path: Path = tmp_path_factory.mktemp("demo") / "demo.heapwright"
    with Garden.open(path, StillClock(NOW)) as opened:
        demo.fill_demo_garden(opened)
        yield opened


def built(garden: Garden, days_ago: float, *materials: str) -> None:
    at = NOW - timedelta(days=days_ago)
    for material in materials or ("leaves", "grass clippings"):
        stock.add_lot(
            garden, material=material, container="wheelbarrow", count=3, at=at, origin="page"
        )
    counts = {line.lot.key: line.lot.count for line in stock.stock(garden)}
    build.record_build(garden, "left", counts, 10.0, "First heap", at=at, origin="page")


def told(garden: Garden, kind: EntryKind, days_ago: float, **body: Any) -> str:
    at = NOW - timedelta(days=days_ago)
    return log(garden, kind, {"bin": "left", **body}, at=at, origin="page").stored[0]


def old_heap(garden: Garden, *materials: str) -> None:
    """A heap of 200 days, turned 120 days ago and left to cure 100 days ago."""
    built(garden, 200.0, *materials)
    told(garden, EntryKind.TURN, 120.0, how="stir")
    told(garden, EntryKind.CURE, 100.0)


def uses(answer: Ready) -> dict[str, Readiness]:
    return {one.use.id: one.readiness for one in answer.uses}


def test_an_old_heap_without_a_test_is_ready_for_nothing(garden: Garden) -> None:
    old_heap(garden)
    answer = ready(garden, "left")
    assert answer.stage == "may be tested"
    assert set(uses(answer).values()) == {Readiness.UNTOLD}
    assert answer.following is not None and answer.following.procedure is Procedure.BAG
    assert any("never counts in favour" in render(one, Reader()) for one in answer.stage_told)


def test_uses_come_with_the_tests_and_go_with_undo(garden: Garden) -> None:
    old_heap(garden)
    told(garden, EntryKind.TEST, 8.0, **BAG)
    assert uses(ready(garden, "left"))["mulch"] is Readiness.READY
    assert uses(ready(garden, "left"))["planting"] is Readiness.UNTOLD
    pot = told(garden, EntryKind.TEST, 2.0, **POT)
    answer = ready(garden, "left")
    assert answer.stage == "ready"
    assert uses(answer)["planting"] is Readiness.READY
    assert uses(answer)["potting"] is Readiness.UNTOLD
    undo(garden, pot, origin="page")
    assert uses(ready(garden, "left"))["planting"] is Readiness.UNTOLD


def test_today_goes_by_the_tests(garden: Garden, clock: StillClock) -> None:
    old_heap(garden)
    assert bin_today(garden, "left").advice.job is Job.TEST
    told(garden, EntryKind.TEST, 8.0, **BAG)
    advice = bin_today(garden, "left").advice
    assert advice.job is Job.TEST
    assert "Radish pot" in render(advice.amounts[0], Reader())
    told(garden, EntryKind.TEST, 2.0, **POT)
    assert bin_today(garden, "left").advice.job is Job.USE
    told(garden, EntryKind.TEST, 1.0, **(POT | {"up": 4}))
    later = bin_today(garden, "left").advice
    assert later.job is Job.LEAVE
    assert "4 of 12" in render(later.reasons[-1], Reader())
    clock.go_on(days=14)
    assert bin_today(garden, "left").advice.job is Job.TEST


def test_a_heap_that_passed_is_to_be_used_though_nobody_wrote_that_it_cures(
    garden: Garden,
) -> None:
    built(garden, 120.0)
    told(garden, EntryKind.TEST, 8.0, **BAG)
    told(garden, EntryKind.TEST, 2.0, **POT)
    assert bin_today(garden, "left").advice.job is Job.USE
    told(garden, EntryKind.READING, 0.5, temperature_c=55.0)
    assert bin_today(garden, "left").advice.job is not Job.USE
    assert Readiness.READY not in uses(ready(garden, "left")).values()


def test_contradicting_tests_are_told_and_tested_again(garden: Garden) -> None:
    old_heap(garden)
    told(garden, EntryKind.TEST, 8.0, **BAG)
    told(garden, EntryKind.TEST, 7.0, procedure="jar", days=7, smell="ammonia")
    answer = ready(garden, "left")
    assert "contradict" in render(answer.headline, Reader())
    assert any("contradict" in render(one, Reader()) for one in answer.remarks)
    assert answer.following is not None
    assert answer.following.procedure is Procedure.SELF_HEATING
    assert bin_today(garden, "left").advice.job is Job.TEST


def test_straw_asks_for_pea_pots_before_anything(garden: Garden) -> None:
    old_heap(garden, "leaves", "wheat straw")
    told(garden, EntryKind.TEST, 8.0, **BAG)
    told(garden, EntryKind.TEST, 2.0, **POT)
    answer = ready(garden, "left")
    assert set(uses(answer).values()) == {Readiness.UNTOLD}
    assert answer.following is not None and answer.following.procedure is Procedure.BIOASSAY
    pots = {"procedure": "bioassay", "pots": 3, "control_pots": 3, "days": 18}
    told(garden, EntryKind.TEST, 1.0, **pots, pots_hurt=2, control_pots_hurt=0)
    assert "weedkiller" in render(ready(garden, "left").headline, Reader())
    assert "weedkiller" in render(bin_today(garden, "left").advice.headline, Reader())
    told(garden, EntryKind.TEST, 0.5, **pots, pots_hurt=0, control_pots_hurt=0)
    assert uses(ready(garden, "left"))["planting"] is Readiness.READY


def test_manure_cures_longer_and_brings_the_days_before_harvest(garden: Garden) -> None:
    old_heap(garden)
    assert not any("120 days" in render(one, Reader()) for one in ready(garden, "left").cautions)
    bare = ready(garden, "left").date
    built_with = garden.state().batches
    assert bare is not None and len(built_with) == 1
    told(garden, EntryKind.USE, 0.1, all=True)
    for material in ("horse manure", "leaves"):
        stock.add_lot(
            garden, material=material, container="wheelbarrow", count=2, at=NOW, origin="page"
        )
    lots = {line.lot.key: 2 for line in stock.stock(garden) if line.lot.left > 0}
    build.record_build(garden, "right", lots, 5.0, "Second heap", at=NOW, origin="page")
    answer = ready(garden, "right")
    assert any("120 days" in render(one, Reader()) for one in answer.cautions)
    assert [render(one, Reader()) for one in answer.notes] == []
    assert answer.date is not None
    assert any("61 to 122 days" in render(one, Reader()) for one in answer.date.basis)


def test_what_was_tested_before_something_fresh_came_in_does_not_count(garden: Garden) -> None:
    old_heap(garden)
    told(garden, EntryKind.TEST, 8.0, **BAG)
    at = NOW - timedelta(days=3)
    stock.add_lot(
        garden, material="coffee grounds", container="5 gal pail", count=1, at=at, origin="page"
    )
    lot = next(line.lot.key for line in stock.stock(garden) if line.lot.left > 0)
    told(garden, EntryKind.ADD, 3.0, lines=[{"lot": lot, "count": 1}])
    answer = ready(garden, "left")
    assert [one.counts for one in answer.done] == [False]
    assert Readiness.READY not in uses(answer).values()


def test_the_date_is_a_range_that_rests_on_the_model_and_then_on_curing(
    demo_garden: Garden,
) -> None:
    young = ready(demo_garden, "left").date
    assert young is not None and young.hot_work_days is not None
    assert young.low_days is not None and young.likely_days is not None
    assert 30 < young.low_days < young.likely_days
    assert young.high_days is None or young.likely_days < young.high_days
    assert len(young.basis) == 3
    cured = ready(demo_garden, "right")
    assert cured.date is not None and cured.date.hot_work_days is None
    assert cured.date.low_days == 0.0
    assert cured.date.high_days is not None and cured.date.high_days <= 10.0
    assert "the tests decide" in render(cured.date.told, Reader())


def test_a_test_that_did_not_pass_puts_the_date_off(garden: Garden) -> None:
    old_heap(garden)
    told(garden, EntryKind.TEST, 4.0, **(POT | {"up": 2}))
    date = ready(garden, "left").date
    assert date is not None and date.low_days == pytest.approx(10.0)


def test_a_heap_too_old_for_the_model_still_answers(garden: Garden) -> None:
    built(garden, 300.0)
    answer = ready(garden, "left")
    assert answer.expected is None and answer.date is None
    assert any("not followed hour by hour" in render(one, Reader()) for one in answer.notes)
    told(garden, EntryKind.CURE, 10.0)
    date = ready(garden, "left").date
    assert date is not None and date.low_days is not None and 18.0 < date.low_days < 35.0


@pytest.mark.parametrize("key", ["left", "middle", "right"])
def test_what_to_expect_lies_where_it_is_published(demo_garden: Garden, key: str) -> None:
    """Clemson: 0.5 to 2.5 % nitrogen; Colorado: 50 to 75 % of the volume lost; 593-801 kg/m³."""
    expected = ready(demo_garden, key).expected
    assert expected is not None
    assert 0.005 <= expected.nitrogen_dry.low < 0.025
    density = expected.wet_mass_kg.likely / expected.volume_m3.likely
    assert 593.0 <= density <= 801.0
    built_m3 = expected.volume_by_shrinking_m3.likely / 0.33
    assert expected.volume_by_shrinking_m3.high <= 0.55 * built_m3
    for one in (expected.volume_m3, expected.dry_mass_kg, expected.nitrogen_kg):
        assert 0.0 < one.low <= one.likely <= one.high


def test_reheating_is_read_from_the_log(garden: Garden) -> None:
    built(garden, 60.0)
    told(garden, EntryKind.TURN, 10.0, how="stir", water_kg=40.0)
    told(garden, EntryKind.READING, 6.0, temperature_c=51.0)
    assert ready(garden, "left").reheating.verdict is Verdict.NOT_YET
    told(garden, EntryKind.TURN, 5.0, how="stir", water_kg=20.0)
    told(garden, EntryKind.LOOK, 4.9, squeeze="drops")
    told(garden, EntryKind.READING, 1.0, temperature_c=33.0)
    answer = ready(garden, "left")
    assert answer.reheating.verdict is Verdict.PASSED
    assert answer.stage == "curing"
    assert answer.date is not None and answer.date.low_days is not None
    assert answer.date.low_days >= 30.0


def test_an_empty_or_unknown_bin_is_refused(garden: Garden) -> None:
    with pytest.raises(NotFound, match="Right is empty"):
        ready(garden, "right")
    with pytest.raises(NotFound, match="left"):
        ready(garden, "north")


def test_the_answer_goes_into_json(demo_garden: Garden) -> None:
    plain = to_plain(ready(demo_garden, "right"))
    assert [one["use"]["id"] for one in plain["uses"]] == [
        "mulch",
        "bed-ahead",
        "planting",
        "potting",
    ]
    assert len(plain["guides"]) == len(Procedure)
    assert all(one["cautions"] for one in plain["guides"])


def test_a_heap_that_stands_still_is_told_what_keeping_it_well_would_make_of_it(
    demo_garden: Garden,
) -> None:
    """The dry heap of the invented garden hardly goes on; damp and turned it would."""
    date = ready(demo_garden, "middle").date
    assert date is not None and date.low_days is not None and date.likely_days is None
    assert date.kept_well is not None
    told_days = {name: value.amount for name, value in date.kept_well.values.items()}
    assert told_days["low"] < told_days["likely"] < told_days["high"]
    assert told_days["high"] < date.low_days
    rest = "Kept damp and turned as Today says"
    assert rest in render(date.kept_well, Reader())


def test_a_cured_heap_is_told_nothing_of_keeping_it_well(demo_garden: Garden) -> None:
    date = ready(demo_garden, "right").date
    assert date is not None and date.hot_work_days is None and date.kept_well is None
